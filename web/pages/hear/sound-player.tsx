import { useEffect, useRef, useState } from 'preact/hooks';
import { type ApiProblem, asProblem } from '../../api/problem.ts';
import { ProblemNotice } from '../../shell/notices.tsx';

/** Plays a sound and stops it; it can be kept as a file too. */
export function SoundPlayer({
  wav,
  seconds,
  fileName,
}: {
  readonly wav: Blob;
  readonly seconds: number;
  readonly fileName: string;
}) {
  const [url, setUrl] = useState<string | null>(null);
  const [playing, setPlaying] = useState(false);
  const [problem, setProblem] = useState<ApiProblem | null>(null);
  const audio = useRef<HTMLAudioElement>(null);

  useEffect(() => {
    const made = URL.createObjectURL(wav);
    setUrl(made);
    return () => URL.revokeObjectURL(made);
  }, [wav]);

  const toggle = async (): Promise<void> => {
    const element = audio.current;
    if (element === null) return;
    if (playing) {
      element.pause();
      element.currentTime = 0;
      return;
    }
    try {
      await element.play();
      setProblem(null);
    } catch (error) {
      setProblem(asProblem(error));
    }
  };

  return (
    <>
      <p class="row unprinted">
        {url !== null && (
          <>
            {/* biome-ignore lint/a11y/useMediaCaption: the text that is keyed stands beside it */}
            <audio
              ref={audio}
              src={url}
              onPlay={() => setPlaying(true)}
              onPause={() => setPlaying(false)}
              onEnded={() => setPlaying(false)}
            />
            <button type="button" class="primary" onClick={() => void toggle()}>
              {playing ? 'Stop' : `Play it, ${Math.round(seconds)} s`}
            </button>
            <a class="button" href={url} download={fileName}>
              Keep it as a file
            </a>
          </>
        )}
      </p>
      {problem !== null && <ProblemNotice problem={problem} doing="The sound could not be played" />}
    </>
  );
}
