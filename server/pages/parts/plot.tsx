interface PlotProps {
  readonly label: string;
  readonly unit: string;
  readonly language: string;
  /** The horizontal axis, ascending: days (`YYYY-MM-DD`), or numbers with their unit. */
  readonly across:
    | { readonly days: readonly string[] }
    | { readonly numbers: readonly number[]; readonly unit: string };
  /** Where the vertical axis begins. */
  readonly least: number;
  readonly series: readonly PlotSeries[];
}

export interface PlotSeries {
  readonly label: string;
  readonly values: readonly (number | null)[];
  readonly kind: 'solid' | 'dashed' | 'limit';
}

/** What the script of the browser is given: `client/plot.ts`. */
export type PlotData = Omit<PlotProps, 'label'>;

const [width, height] = [600, 180];

/** A plot: drawn here as plain lines, and by a script, where scripts run, with axes and a reading at the cursor. */
export function Plot({ label, ...data }: PlotProps) {
  const values = data.series.flatMap((series) => series.values.map((value) => value ?? data.least));
  const top = Math.max(data.least + 1, ...values) * 1.02;
  return (
    <figure class="plot" data-plot={JSON.stringify(data satisfies PlotData)}>
      <svg viewBox={`0 0 ${width} ${height}`} preserveAspectRatio="none" role="img" aria-label={label}>
        {data.series.map((series) => (
          <path
            key={series.label}
            class={`plot-${series.kind}`}
            d={pathOf(series.values, data.least, top)}
            vector-effect="non-scaling-stroke"
          />
        ))}
      </svg>
      <figcaption>
        <span class="hidden">{label}. </span>
        <span class="plot-range">{rangeText(data)}</span>
        {data.series.map(({ label: name, kind }) => (
          <span key={name} class="plot-key">
            <svg viewBox="0 0 30 8" width="30" height="8" aria-hidden="true" focusable="false">
              <path class={`plot-${kind}`} d="M0 4H30" />
            </svg>
            {name}
          </span>
        ))}
      </figcaption>
    </figure>
  );
}

/** What the plain lines reach from and to; the script's axes take its place. */
function rangeText({ across, least, series, unit }: PlotData): string {
  const places =
    'days' in across ? across.days : across.numbers.map((each) => `${each.toLocaleString('en-US')} ${across.unit}`);
  const values = series.flatMap((each) => each.values.flatMap((value) => value ?? []));
  const top = Math.max(least, ...values).toLocaleString('en-US', { maximumFractionDigits: 1 });
  return `→ ${places[0] ?? ''} … ${places.at(-1) ?? ''}; ↑ ${least} … ${top} ${unit}`.trim();
}

function pathOf(values: readonly (number | null)[], least: number, top: number): string {
  const step = width / Math.max(1, values.length - 1);
  let pen = 'M';
  return values
    .map((value, position) => {
      if (value === null) {
        pen = 'M';
        return '';
      }
      const point = `${pen}${(position * step).toFixed(1)} ${(height - ((value - least) / (top - least)) * height).toFixed(1)}`;
      pen = 'L';
      return point;
    })
    .join('');
}
