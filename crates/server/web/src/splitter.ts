// The line between the body and the flat can be moved, by hand or with the arrow keys.

const LEAST = 20;
const MOST = 80;

export function splitter(bar: HTMLElement, field: HTMLElement): void {
  let share = 47;
  const set = (percent: number): void => {
    share = Math.min(MOST, Math.max(LEAST, percent));
    field.style.setProperty('--body-share', `${share}fr`);
    field.style.setProperty('--flat-share', `${100 - share}fr`);
    bar.setAttribute('aria-valuenow', String(Math.round(share)));
  };
  set(share);
  bar.addEventListener('pointerdown', (event) => {
    bar.setPointerCapture(event.pointerId);
    event.preventDefault();
    bar.focus();
  });
  bar.addEventListener('pointermove', (event) => {
    if (!bar.hasPointerCapture(event.pointerId)) return;
    const box = field.getBoundingClientRect();
    set(((event.clientY - box.top) / box.height) * 100);
  });
  bar.addEventListener('keydown', (event) => {
    const steps: Record<string, number> = { ArrowUp: share - 4, ArrowDown: share + 4, Home: LEAST, End: MOST };
    const wanted = steps[event.key];
    if (wanted === undefined) return;
    event.preventDefault();
    set(wanted);
  });
}
