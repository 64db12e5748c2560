/** Keeps the screen awake where the browser can; returns the way to let it sleep. */
export function holdScreen(): () => void {
  let lock: WakeLockSentinel | null = null;
  let isOver = false;
  const ask = async (): Promise<void> => {
    if (isOver || document.visibilityState !== 'visible') return;
    try {
      lock = await navigator.wakeLock?.request('screen');
      if (isOver) await lock?.release();
    } catch {
      // refused on a low battery: listening goes on
    }
  };
  // a page out of sight loses the lock
  const onChange = (): void => void ask();
  document.addEventListener('visibilitychange', onChange);
  void ask();
  return () => {
    isOver = true;
    document.removeEventListener('visibilitychange', onChange);
    void lock?.release();
  };
}
