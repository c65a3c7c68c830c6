import { configurations } from '../../../../core/standards/configurations.ts';

/** Patterns of shore power, as a dockhand may find them on a cord or an inlet. */
export const plugs = configurations.filter(({ shorePower }) => shorePower);
export const plugOptions = plugs.map(({ id, name }) => ({ id, label: `${id} · ${name}` }));
