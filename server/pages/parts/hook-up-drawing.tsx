import type { HookUp } from '../../../core/electrical/hook-up/hook-up.ts';

interface HookUpDrawingProps {
  readonly hookUp: HookUp;
  /** What people call each outlet, with its designation and breaker. */
  readonly outletWords: (outletId: string) => string;
  readonly adapterWords: (kindId: string) => string;
  readonly inletWords: (inletId: string, configurationId: string) => string;
  readonly label: string;
}

interface Part {
  readonly key: string;
  readonly words: string;
  readonly kind: 'outlet' | 'adapter' | 'inlet';
  readonly x: number;
  readonly y: number;
}

const width = 340;
const height = { outlet: 34, adapter: 44, inlet: 34 } as const;
const gap = 46;

/**
 * The hook-up as a line from the dock to the boat: outlets above, each behind its breaker (IEC 60617, 07-13-05), adapters
 * between, inlets below, a cord set as the heavy line into each inlet.
 */
export function HookUpDrawing({ hookUp, outletWords, adapterWords, inletWords, label }: HookUpDrawingProps) {
  const outletIds = [...new Set(hookUp.joints.flatMap(({ from }) => (from.kind === 'outlet' ? [from.outletId] : [])))];
  const inlets = hookUp.joints.flatMap(({ to }) => (to.kind === 'inlet' ? [to] : []));
  const rows: Part[][] = [
    outletIds.map((id) => ({ key: `outlet ${id}`, words: outletWords(id), kind: 'outlet', x: 0, y: 0 })),
    ...hookUp.adapters.map(({ ref, kindId }) => [
      { key: `adapter ${ref}`, words: adapterWords(kindId), kind: 'adapter', x: 0, y: 0 } as const,
    ]),
    inlets.map(({ inletId, configurationId }) => ({
      key: `inlet ${inletId}`,
      words: inletWords(inletId, configurationId),
      kind: 'inlet',
      x: 0,
      y: 0,
    })),
  ];
  const parts = new Map<string, Part>();
  let y = 20;
  for (const row of rows.filter((each) => each.length > 0)) {
    row.forEach((part, position) => {
      parts.set(part.key, { ...part, x: ((position + 0.5) * width) / row.length, y });
    });
    y += height[row[0]?.kind ?? 'outlet'] + gap;
  }
  const total = y - gap + 20;
  const spoken = [...parts.values()].map(({ words }) => words).join(', ');
  return (
    <svg class="hook-up" viewBox={`0 0 ${width} ${total}`} role="img" aria-label={`${label}: ${spoken}`}>
      {hookUp.joints.map(({ from, to }) => {
        const start = parts.get(from.kind === 'outlet' ? `outlet ${from.outletId}` : `adapter ${from.adapter}`);
        const end = parts.get(to.kind === 'inlet' ? `inlet ${to.inletId}` : `adapter ${to.adapter}`);
        if (start === undefined || end === undefined) return null;
        const bottom = start.y + height[start.kind];
        return (
          <path
            key={`${start.key} ${end.key}`}
            class={to.kind === 'inlet' ? 'cord' : 'joint'}
            d={`M${start.x} ${bottom}V${bottom + gap / 2}H${end.x}V${end.y}`}
          />
        );
      })}
      {[...parts.values()].map((part) => (
        <PartBox key={part.key} part={part} across={width / Math.max(1, sameRow(parts, part))} />
      ))}
    </svg>
  );
}

function sameRow(parts: ReadonlyMap<string, Part>, { y }: Part): number {
  return [...parts.values()].filter((each) => each.y === y).length;
}

function PartBox({ part, across }: { readonly part: Part; readonly across: number }) {
  const { kind, x, y, words } = part;
  const half = Math.min(across - 10, 300) / 2;
  const lines = wrapped(words, Math.floor(half / 3.6));
  return (
    <g class={`part ${kind}`}>
      {kind === 'outlet' && (
        <path
          class="breaker"
          d={`M${x} 0V${y - 12}M${x - 4} ${y - 16}L${x + 4} ${y - 8}M${x - 4} ${y - 8}L${x + 4} ${y - 16}M${x} ${y - 12}V${y}`}
        />
      )}
      <rect x={x - half} y={y} width={2 * half} height={height[kind]} rx={kind === 'adapter' ? 8 : 0} />
      {lines.map((text, position) => (
        <text key={text} x={x} y={y + height[kind] / 2 + 4 + (position - (lines.length - 1) / 2) * 14}>
          {text}
        </text>
      ))}
    </g>
  );
}

/** At most three lines of about so many letters. */
function wrapped(words: string, letters: number): string[] {
  const lines: string[] = [];
  for (const word of words.split(' ')) {
    const last = lines.at(-1);
    if (last !== undefined && `${last} ${word}`.length <= letters) lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines.length <= 3
    ? lines
    : [
        ...lines.slice(0, 2),
        `${lines
          .slice(2)
          .join(' ')
          .slice(0, letters - 1)}…`,
      ];
}
