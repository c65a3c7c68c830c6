import { checkEach, type InventoryCheck, missing, outletSubject } from '../../../inventory/checks/check.ts';
import type { Configuration } from '../../../standards/configuration.ts';
import { configuration } from '../../../standards/configurations.ts';
import { citation } from '../../../standards/source.ts';
import type { Edition } from './editions.ts';
import { coveredOutlets, shorePowerOutlets } from './scope.ts';

export function receptacleRules(edition: Edition): InventoryCheck[] {
  return [rating(edition), type(edition), ownCircuit(edition), height(edition)];
}

function rating({ rating: { leastA, source } }: Edition): InventoryCheck {
  return checkEach(
    'review.rating',
    `receptacles below ${leastA} A, which are no shore power`,
    citation(source),
    coveredOutlets,
    (outlet, index) => {
      const subject = outletSubject(outlet, index);
      const pattern = configuration(outlet.configurationId);
      if (pattern === null) {
        return missing(
          subject,
          'configurationId',
          `Which receptacle is outlet ${subject.label}?`,
          `Not assessed: the pattern of outlet ${subject.label} (${outlet.configurationId}) is not known here.`,
        );
      }
      if (pattern.ratedA >= leastA) return null;
      return {
        level: 'note',
        subject,
        actual: pattern.ratedA,
        limit: leastA,
        unit: 'A',
        message: `Outlet ${subject.label} (${pattern.name}) is no shore power: it needs ground-fault protection for people, and a marking that says so.`,
      };
    },
  );
}

const isLocking = ({ family, id }: Configuration): boolean => family === 'NEMA WD 6' && /^(L|SS)/.test(id);

function type({ type: source }: Edition): InventoryCheck {
  return checkEach(
    'review.type',
    'shore-power receptacles that are neither locking (to 50 A) nor pin-and-sleeve',
    citation(source),
    shorePowerOutlets,
    (outlet, index) => {
      const pattern = configuration(outlet.configurationId);
      // An unknown pattern is asked for by the rule on the rating.
      if (pattern === null || pattern.family === 'pin-and-sleeve') return null;
      if (pattern.ratedA < 60 && isLocking(pattern)) return null;
      const subject = outletSubject(outlet, index);
      const wanted = pattern.ratedA < 60 ? 'locking' : 'pin-and-sleeve';
      return {
        level: 'caution',
        subject,
        actual: pattern.name,
        limit: wanted,
        message: `Outlet ${subject.label} (${pattern.name}) supplies shore power and is not ${wanted}. Have it replaced.`,
      };
    },
  );
}

function ownCircuit({ ownCircuit: source }: Edition): InventoryCheck {
  return checkEach(
    'review.ownCircuit',
    'shore-power receptacles without a branch circuit of their own',
    citation(source),
    shorePowerOutlets,
    (outlet, index) => {
      const subject = outletSubject(outlet, index);
      const feed = index.pathOfOutlet.get(outlet.id)?.[0];
      const others = (feed === undefined ? [] : (index.outletsBelow.get(feed.id) ?? [])).length - 1;
      if (feed?.kind === 'branchCircuit' && others > 0) {
        return {
          level: 'caution',
          subject,
          actual: others,
          limit: 0,
          message: `Outlet ${subject.label} shares the branch circuit ${feed.label} with ${others} other receptacles. Have it fed by one of its own, or correct the entry.`,
        };
      }
      if (outlet.breakerA !== null) return null;
      return missing(
        subject,
        'breakerA',
        `Has outlet ${subject.label} a breaker of its own, and of how many amperes?`,
        `Not assessed: whether outlet ${subject.label} has a branch circuit of its own is unknown, since its breaker is.`,
      );
    },
  );
}

function height({ height: { leastM, source } }: Edition): InventoryCheck {
  return checkEach(
    'review.height',
    'receptacles less than 12 in (0.305 m) above the deck',
    citation(source),
    coveredOutlets,
    (outlet, index) => {
      const subject = outletSubject(outlet, index);
      if (outlet.heightM === null) {
        return missing(
          subject,
          'heightM',
          `How high above the deck is outlet ${subject.label}, in metres?`,
          `Not assessed: the height of outlet ${subject.label} above the deck is unknown.`,
        );
      }
      if (outlet.heightM >= leastM) return null;
      return {
        level: 'caution',
        subject,
        actual: outlet.heightM,
        limit: leastM,
        unit: 'm',
        message: `Outlet ${subject.label} is ${outlet.heightM} m above the deck; wanted are ${leastM} m (12 in) at least. Have it raised.`,
      };
    },
  );
}
