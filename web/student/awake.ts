// A tablet on the music stand should not go dark while somebody plays (Screen Wake Lock API, W3C; not all browsers have it).
let wanted = false;
let lock: WakeLockSentinel | null = null;

async function ask(): Promise<void> {
  if (!wanted || lock || document.visibilityState !== 'visible' || !('wakeLock' in navigator)) return;
  const given = await navigator.wakeLock.request('screen').catch(() => null);
  if (!wanted) return void given?.release();
  lock = given;
  given?.addEventListener('release', () => (lock = null)); // the browser takes it back when the page is hidden
}
document.addEventListener('visibilitychange', () => void ask());

export function keepAwake(): void {
  wanted = true;
  void ask();
}
export function mayGoDark(): void {
  wanted = false;
  void lock?.release();
  lock = null;
}
