import type { ParameterNow } from '../../../server/http/messages.ts';
import { LimitRule } from '../../marks/limit-rule.tsx';
import { Age } from '../../marks/moment.tsx';
import { StateMark } from '../../marks/state-mark.tsx';
import { TrustMark, UnvouchedMark } from '../../marks/trust-mark.tsx';
import { hrefOf } from '../../shell/missions.ts';
import { valueText } from '../../words/number.ts';
import type { Group } from './groups.ts';

const OUTSIDE = { soft: 'outside soft limits', hard: 'outside hard limits' } as const;

function Provenance({ parameter }: { readonly parameter: ParameterNow }) {
  const { last } = parameter;
  if (last === null) return <p class="small faint">nobody has read it yet</p>;
  return (
    <p class="provenance small">
      <a
        href={hrefOf('trends', null, {
          parameter: [parameter.parameter],
          point: `${parameter.parameter}@${last.frame}`,
        })}
      >
        <Age at={last.time} />
      </a>
      <TrustMark trust={last.trust} />
      {!last.vouched && <UnvouchedMark />}
      {last.limit === 'soft' && <StateMark state="look" word={OUTSIDE.soft} />}
      {last.limit === 'hard' && <StateMark state="act" word={OUTSIDE.hard} />}
    </p>
  );
}

function ReadingRow({ parameter }: { readonly parameter: ParameterNow }) {
  const { last, limit, unit, decimals } = parameter;
  const value = last === null ? '–' : valueText(last.value, unit, decimals ?? undefined);
  return (
    <div class={`reading${last?.trust === 'doubtful' ? ' doubtful' : ''}`}>
      <dt>{parameter.name}</dt>
      <dd class="value">{value}</dd>
      {limit !== null && typeof last?.value === 'number' && (
        <dd class="rule">
          <LimitRule value={last.value} soft={limit.soft} hard={limit.hard} unit={unit} />
        </dd>
      )}
      <dd class="about">
        <Provenance parameter={parameter} />
      </dd>
    </div>
  );
}

const CELLS =
  'Lithium cells are dangerous when charged cold, overcharged or deeply discharged. These limits are the mission’s own; ' +
  'bench work follows the cell maker’s data sheet and local rules.';

/** One group of readings, as a printed list. */
export function ReadingGroup({ group, small = false }: { readonly group: Group; readonly small?: boolean }) {
  const ids = group.parameters.filter(({ last }) => typeof last?.value === 'number').map(({ parameter }) => parameter);
  return (
    <section class={small ? 'reading-group small-group' : 'reading-group'}>
      <header>
        <h2>{group.title}</h2>
        {ids.length > 0 && (
          <a class="unprinted" href={hrefOf('trends', null, { parameter: ids })}>
            Trends<span class="only-heard"> of {group.title}</span>
          </a>
        )}
      </header>
      <dl>
        {group.parameters.map((parameter) => (
          <ReadingRow key={parameter.parameter} parameter={parameter} />
        ))}
      </dl>
      {group.id === 'battery' && <p class="caution small">{CELLS}</p>}
    </section>
  );
}
