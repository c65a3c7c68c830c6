import uPlot from 'uplot';
import type { PlotData } from '../parts/plot.tsx';

const dashes = { solid: [], dashed: [6, 4], limit: [2, 3] };
const borders = { solid: 'solid', dashed: 'dashed', limit: 'dotted' };
const widths = { solid: 3, dashed: 2, limit: 1.5 };

/** Draws a figure's data over its plain lines: axes, and a reading where the cursor is. */
function draw(figure: HTMLElement): void {
  const text = figure.dataset.plot;
  const plain = figure.querySelector('svg');
  if (text === undefined || plain === null) return;
  const { across, series, unit, language, least }: PlotData = JSON.parse(text);
  const styles = getComputedStyle(figure);
  const [ink, rule] = [styles.getPropertyValue('--ink'), styles.getPropertyValue('--rule')];
  const place = document.createElement('div');
  // The same is said in words by the figures below it.
  place.setAttribute('aria-hidden', 'true');
  plain.replaceWith(place);
  // The legend takes the place of the plain keys.
  for (const key of figure.querySelectorAll('.plot-key, .plot-range')) key.remove();
  const font = `14px ${styles.fontFamily}`;
  const axis = { stroke: ink, font, grid: { stroke: rule, width: 1 }, ticks: { stroke: rule, width: 1 } };
  const day = new Intl.DateTimeFormat(language, { month: 'short', day: 'numeric', timeZone: 'UTC' });
  const isDays = 'days' in across;
  const isAt = (x: number) => (isDays ? day.format(x * 1000) : `${x.toLocaleString(language)} ${across.unit}`);
  const places = isDays ? across.days.map((each) => Date.parse(`${each}T12:00:00Z`) / 1000) : [...across.numbers];
  const size = () => ({ width: figure.clientWidth, height: Math.max(220, Math.min(380, figure.clientWidth * 0.5)) });
  const plot = new uPlot(
    {
      ...size(),
      // Days have no zone here: noon of each, in UTC.
      tzDate: (seconds) => uPlot.tzDate(new Date(seconds * 1000), 'Etc/UTC'),
      legend: { markers: { width: 2, dash: (_plot, place) => borders[series[place - 1]?.kind ?? 'solid'] } },
      scales: { x: { time: isDays }, y: { range: (_plot, _low, most) => [least, Math.max(least + 1, most * 1.02)] } },
      axes: [
        // Numbers with their unit want more room than days.
        { ...axis, ...(isDays ? {} : { space: 130 }), values: (_plot, splits) => splits.map(isAt) },
        { ...axis, size: 64, values: (_plot, splits) => splits.map((value) => `${value} ${unit}`) },
      ],
      series: [
        { label: '', value: (_plot, x) => (x === null ? '' : isAt(x)) },
        ...series.map(({ label, kind }) => ({
          label,
          stroke: ink,
          width: widths[kind],
          dash: dashes[kind],
          points: { show: false },
          value: (_plot: uPlot, value: number | null) => (value === null ? '' : `${Number(value.toFixed(1))} ${unit}`),
        })),
      ],
    },
    [places, ...series.map(({ values }) => [...values])],
    place,
  );
  new ResizeObserver(() => {
    if (figure.clientWidth !== plot.width) plot.setSize(size());
  }).observe(figure);
}

for (const figure of document.querySelectorAll<HTMLElement>('[data-plot]')) draw(figure);
