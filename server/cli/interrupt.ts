const SIGNALS = ['SIGINT', 'SIGTERM'] as const;

/** Does work whose signal is aborted by Ctrl-C, or by whoever ends the process kindly. Once it is done, both end the process. */
export async function untilInterrupted<T>(work: (signal: AbortSignal) => Promise<T>): Promise<T> {
  const stop = new AbortController();
  const onSignal = (): void => stop.abort();
  for (const name of SIGNALS) process.once(name, onSignal);
  try {
    return await work(stop.signal);
  } finally {
    for (const name of SIGNALS) process.removeListener(name, onSignal);
  }
}
