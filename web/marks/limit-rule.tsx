import { boundsText } from '../words/condition.ts';
import { numberText } from '../words/number.ts';
import './limit-rule.css';

type Bounds = readonly [number | null, number | null];

interface LimitRuleProps {
  readonly value: number;
  readonly soft: Bounds | null;
  readonly hard: Bounds | null;
  readonly unit: string | null;
}

const MARGIN = 0.12;

/**
 * A reading against its limits, as a printed rule: the soft range drawn thick, the hard bounds as end strokes, the
 * reading as a pointer. Nothing when there are no limits.
 */
export function LimitRule({ value, soft, hard, unit }: LimitRuleProps) {
  const bounds = [...(soft ?? []), ...(hard ?? [])].filter((bound) => bound !== null);
  if (bounds.length === 0) return null;
  // a range that is open on one side is drawn from zero, so that the distance to its bound means something
  const ends = bounds.length > 1 ? bounds : [...bounds, 0];
  const low = Math.min(value, ...ends);
  const high = Math.max(value, ...ends);
  const room = (high - low || Math.abs(high) || 1) * MARGIN;
  const place = (at: number): string => `${((100 * (at - low + room)) / (high - low + 2 * room)).toFixed(2)}%`;
  const [softLow, softHigh] = [soft?.[0] ?? hard?.[0] ?? null, soft?.[1] ?? hard?.[1] ?? null];
  const words = [
    soft === null ? '' : `soft limits ${boundsText(soft, unit)}`,
    hard === null ? '' : `hard limits ${boundsText(hard, unit)}`,
  ].filter((part) => part !== '');
  return (
    <svg class="limit-rule" width="100%" height="30" role="img" aria-label={words.join(', ')}>
      <title>{words.join(', ')}</title>
      <line class="all" x1="0" x2="100%" y1="10" y2="10" />
      <line
        class="soft"
        x1={softLow === null ? '0' : place(softLow)}
        x2={softHigh === null ? '100%' : place(softHigh)}
        y1="10"
        y2="10"
      />
      {(hard ?? []).map(
        (bound) =>
          bound !== null && <line key={bound} class="hard" x1={place(bound)} x2={place(bound)} y1="4" y2="16" />,
      )}
      {(soft ?? []).map(
        (bound) =>
          bound !== null && (
            <text key={bound} x={place(bound)} y="27">
              {numberText(bound)}
            </text>
          ),
      )}
      <svg x={place(value)} y="10" class="pointer" aria-hidden="true">
        <path d="M0 -1 L-4.5 -9 L4.5 -9 Z" />
        <line x1="0" x2="0" y1="-1" y2="5" />
      </svg>
    </svg>
  );
}
