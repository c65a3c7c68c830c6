/** Where a published figure comes from. `fromMemory` marks what was recalled and not read in the source. */
export interface Source {
  readonly title: string;
  readonly fromMemory: boolean;
}

/** The citation as findings print it. */
export function citation(source: Source): string {
  return source.fromMemory ? `${source.title} (from memory)` : source.title;
}
