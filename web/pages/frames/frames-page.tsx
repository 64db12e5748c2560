import { site } from '../../site/site.ts';
import { FrameLog } from './frame-log.tsx';
import { PasteLine } from './paste-line.tsx';
import './frames.css';

export default function FramesPage({ mission }: { readonly mission: string }) {
  return (
    <>
      <PasteLine mission={mission} />
      {site === null && <FrameLog mission={mission} />}
    </>
  );
}
