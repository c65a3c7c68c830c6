import type { Terminal } from '../../../core/standards/configuration.ts';
import { configuration } from '../../../core/standards/configurations.ts';

interface ContactPatternProps {
  readonly configurationId: string;
  /** Pixels. */
  readonly size?: number;
}

/**
 * The face of a fitting, drawn from the standard's list of contacts: locking patterns as curved slots, a sleeve as a ring,
 * straight blades as bars, pins as rounds with the earth at 6 o'clock. Not to scale. The name in words stands beside it.
 */
export function ContactPattern({ configurationId, size = 88 }: ContactPatternProps) {
  const pattern = configuration(configurationId);
  if (pattern === null) return null;
  const { family, id, terminals, name } = pattern;
  const isSleeve = family === 'NEMA WD 6' && id.startsWith('SS');
  const isStraight = family === 'NEMA WD 6' && /^\d/.test(id);
  const isCurved = family === 'NEMA WD 6' && !isStraight;
  // Letters that nobody can read say nothing.
  const isLettered = size >= 80;
  const placed = placesOf(isSleeve ? terminals.filter((terminal) => terminal !== 'G') : terminals);
  return (
    <svg class="contacts" viewBox="0 0 100 100" width={size} height={size} role="img" aria-label={`${id}: ${name}`}>
      <circle class="body" cx="50" cy="50" r="47" />
      {isSleeve && <circle class="sleeve" cx="50" cy="50" r="41" />}
      {isSleeve && isLettered && <Letter x={50} y={54} text="G" />}
      {family === 'IEC 60309' && <path class="key" d="M44 97L44 91L56 91L56 97" />}
      {placed.map(({ terminal, x, y, turn }) => (
        <g key={terminal}>
          {isCurved && <path class="contact" d={curvedSlot(turn, terminal === 'G')} />}
          {isStraight && <Blade terminal={terminal} x={x} y={y} />}
          {!isCurved && !isStraight && (
            <circle class="contact" cx={x} cy={y} r={family === 'IEC 60309' && terminal === 'G' ? 8 : 6.5} />
          )}
          {isLettered && <Letter x={50 + (x - 50) * 0.5} y={50 + (y - 50) * 0.5 + 4} text={terminal} />}
        </g>
      ))}
    </svg>
  );
}

interface Place {
  readonly terminal: Terminal;
  readonly x: number;
  readonly y: number;
  /** Radians, clockwise from 3 o'clock as drawings count. */
  readonly turn: number;
}

/** Contacts evenly around the centre, the last (ground or neutral) at 6 o'clock. */
function placesOf(terminals: readonly Terminal[]): Place[] {
  const last = terminals.length - 1;
  return terminals.map((terminal, position) => {
    const turn = Math.PI / 2 + ((position - last) * 2 * Math.PI) / terminals.length;
    return { terminal, turn, x: round(50 + 31 * Math.cos(turn)), y: round(50 + 31 * Math.sin(turn)) };
  });
}

/** A slot along the circle; the ground's ends in a hook towards the centre. */
function curvedSlot(turn: number, isGround: boolean): string {
  const point = (angle: number, radius: number) =>
    `${round(50 + radius * Math.cos(angle))} ${round(50 + radius * Math.sin(angle))}`;
  const half = 0.3;
  const arc = `M${point(turn - half, 33)}A33 33 0 0 1 ${point(turn + half, 33)}`;
  return isGround ? `${arc}L${point(turn + half, 24)}` : arc;
}

function Blade({ terminal, x, y }: Pick<Place, 'terminal' | 'x' | 'y'>) {
  if (terminal === 'G') return <circle class="contact" cx={x} cy={y} r="6.5" />;
  return <path class="contact" d={`M${x} ${round(y - 9)}V${round(y + 9)}`} />;
}

function Letter({ x, y, text }: { readonly x: number; readonly y: number; readonly text: string }) {
  return (
    <text class="letter" x={round(x)} y={round(y)}>
      {text}
    </text>
  );
}

const round = (value: number): number => Math.round(value * 10) / 10;
