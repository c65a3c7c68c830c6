/**
 * Keeps what was made for the `most` keys used last; what is kept must follow from its key, so that keeping it changes
 * nothing but time.
 */
export function keepRecent<Value>(most: number): (key: string, make: () => Value) => Value {
  const kept = new Map<string, Value>();
  return (key, make) => {
    const known = kept.get(key);
    const value = known ?? make();
    // A Map runs in the order of insertion: the first key is the one unused for longest.
    kept.delete(key);
    kept.set(key, value);
    const oldest = kept.keys().next();
    if (kept.size > most && !oldest.done) kept.delete(oldest.value);
    return value;
  };
}
