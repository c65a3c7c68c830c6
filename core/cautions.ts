/** What every electrical answer carries, whatever it says. */
export const electricalCautions: readonly string[] = [
  'These figures help a person decide. They do not replace a licensed electrician, an inspection or the authority having jurisdiction.',
  'Local codes and the edition adopted where the marina lies prevail over any figure given here.',
  'Electric current in the water near docks kills swimmers. Nobody swims where boats are on shore power.',
  'Refuse a fitting that is scorched or corroded, or that has a contact bent or cut off. A plug that does not go in by hand is the wrong plug.',
  'Switch loads and breaker off before anything is plugged in or pulled.',
];
