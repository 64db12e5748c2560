import './marks.css';

/** How a thing is: well, worth a look, or in need of action. */
export type State = 'steady' | 'look' | 'act';

const SHAPES: Readonly<Record<State, string>> = {
  steady: 'M8 1.5 a6.5 6.5 0 1 0 0.01 0 Z',
  look: 'M8 1.5 L15 14 L1 14 Z',
  act: 'M2 2 H14 V14 H2 Z',
};

/** A state as word and shape before colour: circle, triangle, square. */
export function StateMark({ state, word }: { readonly state: State; readonly word?: string }) {
  return (
    <span class={`mark state ${state}`}>
      <svg viewBox="0 0 16 16" aria-hidden="true">
        <path d={SHAPES[state]} />
      </svg>
      <span>{word ?? state}</span>
    </span>
  );
}
