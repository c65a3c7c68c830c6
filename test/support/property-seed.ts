import fc from 'fast-check';

/**
 * Property tests draw the same examples in every run, so that a change that breaks one is what breaks it. Look further
 * with `FC_SEED=random npm test`, or with a number of your own; what fails there is kept as a named case.
 */
const wanted = process.env.FC_SEED ?? '20261125';
if (wanted !== 'random') fc.configureGlobal({ seed: Number(wanted) });
