interface StayLinkProps {
  /** `/marinas/north`. */
  readonly base: string;
  readonly stay: { readonly id: string; readonly boatName: string };
}

/** A boat's name, leading to its stay. */
export function StayLink({ base, stay }: StayLinkProps) {
  return <a href={`${base}/stays/${stay.id}`}>{stay.boatName}</a>;
}
