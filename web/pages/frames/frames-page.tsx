import { FrameLog } from './frame-log.tsx';
import { PasteLine } from './paste-line.tsx';
import './frames.css';

export default function FramesPage({ mission }: { readonly mission: string }) {
  return (
    <>
      <PasteLine mission={mission} />
      <FrameLog mission={mission} />
    </>
  );
}
