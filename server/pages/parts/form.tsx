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

/** What was wrong with the form that was sent: at the top of the page, with a way to each field. */
export function FormProblem({ form, view }: { readonly form: FormState; readonly view: View }) {
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
                {pointer === '' ? message : `${pointer.slice(1)}: ${message}`}
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
export function Field({ form, name, label, hint, value, rows, ...input }: FieldProps) {
  const id = fieldId(name);
  const fault = faultOf(form, name);
  const shown = form.action === null || input.type === 'password' ? (value ?? '') : (form.fields.text(name) ?? '');
  const described = [hint && `${id}-hint`, fault && `${id}-fault`].filter(Boolean).join(' ') || undefined;
  const common = {
    id,
    name,
    'aria-describedby': described,
    'aria-invalid': fault === null ? undefined : true,
  } as const;
  return (
    <p class="field">
      <label for={id}>{label}</label>
      {hint && (
        <span class="hint" id={`${id}-hint`}>
          {hint}
        </span>
      )}
      {rows === undefined ? (
        <input {...common} {...(input as TextInput)} value={shown} autocomplete={input.autocomplete ?? 'off'} />
      ) : (
        <textarea {...common} rows={rows} value={shown} />
      )}
      {fault && (
        <span class="fault" id={`${id}-fault`}>
          {fault}
        </span>
      )}
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
export function Choice({ form, name, label, hint, value, options }: ChoiceProps) {
  const id = fieldId(name);
  const fault = faultOf(form, name);
  const chosen = form.action === null ? (value ?? '') : (form.fields.text(name) ?? '');
  return (
    <fieldset class="choice" id={id}>
      <legend>{label}</legend>
      {hint && <span class="hint">{hint}</span>}
      {options.map(([option, words], position) => (
        <label key={option}>
          <input type="radio" name={name} value={option} id={`${id}-${position}`} checked={option === chosen} />
          {words}
        </label>
      ))}
      {fault && <span class="fault">{fault}</span>}
    </fieldset>
  );
}

/** One of many. */
export function Select({ form, name, label, hint, value, options }: ChoiceProps) {
  const id = fieldId(name);
  const fault = faultOf(form, name);
  const chosen = form.action === null ? (value ?? '') : (form.fields.text(name) ?? '');
  return (
    <p class="field">
      <label for={id}>{label}</label>
      {hint && (
        <span class="hint" id={`${id}-hint`}>
          {hint}
        </span>
      )}
      <select
        id={id}
        name={name}
        aria-describedby={hint && `${id}-hint`}
        aria-invalid={fault === null ? undefined : true}
      >
        {options.map(([option, words]) => (
          <option key={option} value={option} selected={option === chosen}>
            {words}
          </option>
        ))}
      </select>
      {fault && <span class="fault">{fault}</span>}
    </p>
  );
}

/** Where a field of a name is on the page. */
export function fieldId(name: string): string {
  return `f-${name.replaceAll(/[^\w-]/g, '-')}`;
}
