/** Numbers for keys, the same for the same key: from 0 on, in the order of asking. */
export function numbering(): (key: string) => number {
  const numbers = new Map<string, number>();
  return (key) => {
    const number = numbers.get(key) ?? numbers.size;
    numbers.set(key, number);
    return number;
  };
}
