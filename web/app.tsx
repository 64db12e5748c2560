import { useEffect, useRef } from 'preact/hooks';
import { address } from './address/location.ts';
import { PageContent } from './pages/page-content.tsx';
import { Footer } from './shell/footer.tsx';
import { Masthead } from './shell/masthead.tsx';
import { mission } from './shell/missions.ts';

function Band() {
  const current = mission.value;
  if (current === null || !current.invented) return null;
  return (
    <div class="band">
      <p>
        <strong>Invented.</strong> {current.name}, its stations and its readings are made up to show how this works. No
        such satellite flies.
      </p>
    </div>
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
        <Band />
      </header>
      <main id="main" ref={main} tabIndex={-1}>
        <PageContent />
      </main>
      <Footer />
    </>
  );
}
