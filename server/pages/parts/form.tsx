import type { ComponentChildren } from 'preact';
import { type FormState, faultOf } from '../fields.ts';
import type { View } from '../view.ts';
import { FindingList } from './findings.tsx';

interface FormProps {
  readonly form: FormState;
  readonly view: View;
  /** The version that the change is based on. */
  readonly version?: number | null;
  /** Path of another page whose action it is; left out: this page's. */
  readonly to?: string;
  readonly class?: string;
  readonly label?: string;
  readonly children: ComponentChildren;
}

/**
 * A form that posts to its page. It carries the key that makes it safe to send again, and the version it is based on.
 * Its buttons are `Do`.
 */
export function Form({ form, view, version, to, label, children, ...rest }: FormProps) {
  return (
    <form method="post" action={to} class={rest.class} aria-label={label} novalidate>
      <input type="hidden" name="key" value={form.key} />
      {version != null && <input type="hidden" name="version" value={String(version)} />}
      {children}
    </form>
  );
}

interface DoProps {
  /** Name of the page's action. */
  readonly action: string;
  readonly kind?: 'second' | 'quiet';
  readonly children: ComponentChildren;
}

/** A form's button: which action of the page it asks for. */
export function Do({ action, kind, children }: DoProps) {
  return (
    <button type="submit" name="do" value={action} class={kind}>
      {children}
    </button>
  );
}

interface FormProblemProps {
  readonly form: FormState;
  readonly view: View;
  /** What fields are called, by their names. */
  readonly labels?: Readonly<Record<string, string>>;
}

/** What was wrong with the form that was sent: at the top of the page, with a way to each field. */
export function FormProblem({ form, view, labels = {} }: FormProblemProps) {
  const { problem } = form;
  if (problem === null) return null;
  const { errors = [], findings = [] } = problem.parts;
  return (
    <section class="problem" role="alert" tabIndex={-1}>
      <h2>{errors.length > 0 ? view.texts.common.errorsTitle(errors.length) : problem.message}</h2>
      {errors.length > 0 && (
        <ul>
          {errors.map(({ pointer, message }) => (
            <li key={`${pointer} ${message}`}>
              <a href={`#${fieldId(pointer.slice(1))}`}>
                {pointer === '' ? message : `${labels[pointer.slice(1)] ?? pointer.slice(1)}: ${message}`}
              </a>
            </li>
          ))}
        </ul>
      )}
      {findings.length > 0 && <FindingList view={view} findings={findings} />}
    </section>
  );
}

interface FieldProps {
  readonly form: FormState;
  /** As in the request's body: `lengthOverallM`; deeper ones as `wishes/dockId`. */
  readonly name: string;
  readonly label: string;
  readonly hint?: string;
  readonly value?: string | null;
  readonly type?: 'text' | 'password' | 'date' | 'time' | 'datetime-local' | 'tel' | 'number' | 'search';
  readonly inputMode?: 'decimal' | 'numeric' | 'text' | 'tel';
  readonly autocomplete?: string;
  readonly autofocus?: boolean;
  readonly required?: boolean;
  readonly size?: number;
  readonly list?: string;
  readonly rows?: number;
}

// The types know each kind of input by a literal; all of these kinds take the same attributes.
type TextInput = Omit<FieldProps, 'form' | 'name' | 'label' | 'hint' | 'value' | 'rows' | 'type'> & {
  readonly type?: 'text';
};

/** A labelled field with its hint and, after a refusal, what was sent and what is wrong with it. */
export function Field({ label, value, rows, ...rest }: FieldProps) {
  const { form, name, hint, ...input } = rest;
  const { id, hintLine, faultLine, aria, shown } = around(rest);
  const common = { id, name, ...aria } as const;
  const text = input.type === 'password' ? '' : shown(value);
  return (
    <p class="field">
      <label for={id}>{label}</label>
      {hintLine}
      {rows === undefined ? (
        <input {...common} {...(input as TextInput)} value={text} autocomplete={input.autocomplete ?? 'off'} />
      ) : (
        <textarea {...common} rows={rows} value={text} />
      )}
      {faultLine}
    </p>
  );
}

interface ChoiceProps {
  readonly form: FormState;
  readonly name: string;
  readonly label: string;
  readonly hint?: string;
  readonly value?: string | null;
  readonly options: readonly (readonly [value: string, label: string])[];
}

/** One of few, all of them in sight: radio buttons in a row. */
export function Choice({ label, value, options, ...rest }: ChoiceProps) {
  const { id, hintLine, faultLine, aria, shown } = around(rest);
  const chosen = shown(value);
  return (
    <fieldset class="choice" id={id} aria-describedby={aria['aria-describedby']}>
      <legend>{label}</legend>
      {hintLine}
      {options.map(([option, words], position) => (
        <label key={option}>
          <input type="radio" name={rest.name} value={option} id={`${id}-${position}`} checked={option === chosen} />
          {words}
        </label>
      ))}
      {faultLine}
    </fieldset>
  );
}

interface TicksProps extends Omit<ChoiceProps, 'value'> {
  readonly ticked: readonly string[];
}

/** Any of few. What nobody ticks is sent as one empty value, which tells it from a form without the field. */
export function Ticks({ label, ticked, options, ...rest }: TicksProps) {
  const { form, name } = rest;
  const { id, hintLine, faultLine, aria } = around(rest);
  const chosen = form.fields.isSent(name) ? form.fields.all(name) : ticked;
  return (
    <fieldset class="choice" id={id} aria-describedby={aria['aria-describedby']}>
      <legend>{label}</legend>
      {hintLine}
      <input type="hidden" name={name} value="" />
      {options.map(([option, words]) => (
        <label key={option}>
          <input type="checkbox" name={name} value={option} checked={chosen.includes(option)} />
          {words}
        </label>
      ))}
      {faultLine}
    </fieldset>
  );
}

/** One of many. */
export function Select({ label, value, options, ...rest }: ChoiceProps) {
  const { id, hintLine, faultLine, aria, shown } = around(rest);
  const chosen = shown(value);
  return (
    <p class="field">
      <label for={id}>{label}</label>
      {hintLine}
      <select id={id} name={rest.name} {...aria}>
        {options.map(([option, words]) => (
          <option key={option} value={option} selected={option === chosen}>
            {words}
          </option>
        ))}
      </select>
      {faultLine}
    </p>
  );
}

/** What stands around every field: its hint, what is wrong with it, and how the field names both. */
function around({ form, name, hint }: Pick<FieldProps, 'form' | 'name' | 'hint'>) {
  const id = fieldId(name);
  const fault = faultOf(form, name);
  const described = [hint && `${id}-hint`, fault && `${id}-fault`].filter(Boolean).join(' ') || undefined;
  return {
    id,
    hintLine: hint && (
      <span class="hint" id={`${id}-hint`}>
        {hint}
      </span>
    ),
    faultLine: fault && (
      <span class="fault" id={`${id}-fault`}>
        {fault}
      </span>
    ),
    aria: { 'aria-describedby': described, 'aria-invalid': fault === null ? undefined : true },
    /** What was sent; what is stored where this field was not: another form of the page was refused. */
    shown: (stored: string | null | undefined) =>
      form.fields.isSent(name) ? (form.fields.text(name) ?? '') : (stored ?? ''),
  } as const;
}

/** Where a field of a name is on the page. */
export function fieldId(name: string): string {
  return `f-${name.replaceAll(/[^\w-]/g, '-')}`;
}
