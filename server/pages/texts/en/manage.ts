/** The manager's pages. */
export const manage = {
  from: 'From',
  until: 'Until',
  staysByReason: 'Calls turned away, by reason',
  noRule: 'another reason',
  calls: 'Calls',
  share: 'Share',
} as const;
