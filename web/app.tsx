import { useEffect, useRef } from 'preact/hooks';
import type { Phase } from '../server/http/messages.ts';
import { addressOf } from './address/address.ts';
import { address } from './address/location.ts';
import { PageContent } from './pages/page-content.tsx';
import { Footer } from './shell/footer.tsx';
import { Masthead } from './shell/masthead.tsx';
import { mission, phase } from './shell/missions.ts';

const PHASE_WORDS: Readonly<Record<Exclude<Phase, 'flight'>, string>> = {
  rehearsal: 'Rehearsal. None of this was sent in flight',
  bench: 'Bench. These readings were taken on the ground, before launch',
};

/** What must be known before anything on the page is believed. */
function Bands() {
  const current = mission.value;
  return (
    <>
      {current?.invented === true && (
        <p class="band">
          <strong>Invented.</strong> {current.name} does not fly; its stations and readings are made up.
        </p>
      )}
      {phase.value !== 'flight' && (
        <p class="band">
          <strong>{PHASE_WORDS[phase.value]}.</strong> What you send from here is kept with it.{' '}
          <a href={addressOf('now', null, { mission: address.value.query.get('mission') })}>To the flight</a>
        </p>
      )}
    </>
  );
}

export function App() {
  const main = useRef<HTMLElement>(null);
  const { page, id } = address.value;
  const place = `${page}/${id ?? ''}`;
  const first = useRef(place);

  // after a change of page a screen reader begins at its top, as it would after loading a document
  useEffect(() => {
    if (first.current === place) return;
    first.current = place;
    main.current?.focus({ preventScroll: true });
  }, [place]);

  return (
    <>
      <a class="skip" href="#main">
        To the content
      </a>
      <header>
        <Masthead />
        <Bands />
      </header>
      <main id="main" ref={main} tabIndex={-1}>
        <PageContent />
      </main>
      <Footer />
    </>
  );
}
