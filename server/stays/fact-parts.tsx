import type { View } from '../pages/view.ts';

/** What the form showed: a field that was left alone states nothing. */
export function Was({ name, value }: { readonly name: string; readonly value: string }) {
  return <input type="hidden" name={`was/${name}`} value={value} />;
}

/** Who has said it. */
export function originHint(
  view: View,
  fact: { readonly origin: keyof View['texts']['desk']['origins'] } | null,
): string {
  return fact === null ? view.texts.desk.notSaid : view.texts.desk.origins[fact.origin];
}

export function yesNo(value: boolean | undefined): string {
  return value === undefined ? '' : value ? 'yes' : 'no';
}
