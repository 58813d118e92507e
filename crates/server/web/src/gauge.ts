// The bending gauge: a protractor whose pointer is drawn round from flat to formed, by hand or by key.

import type { Arrangement } from './arrangement';
import type { BodyView } from './body-view';
import type { Desk } from './desk';
import { html, svg } from './dom';

const WIDTH = 244;
const HEIGHT = 138;
const CENTRE = { x: WIDTH / 2, y: 118 };
const RADIUS = 92;

/** Half the breadth of the pointer at its hub. */
const NEEDLE_PX = 3;

/** Time (s) that the pointer takes from end to end: for a plate, and for each step of a kit. */
const PLATE_S = 2.4;
const STEP_S = 0.3;

const still = (): boolean => matchMedia('(prefers-reduced-motion: reduce)').matches;

/** Place on the arc: flat on the left, formed on the right. */
function onArc(stage: number, radius: number): [number, number] {
  const angle = Math.PI * (1 - stage);
  return [CENTRE.x + radius * Math.cos(angle), CENTRE.y - radius * Math.sin(angle)];
}

const text = (x: number, y: number, words: string, anchor: string): SVGTextElement =>
  svg('text', { x, y, 'text-anchor': anchor }, words);

/** The scale: a long line every tenth, a short one every fiftieth. */
function protractor(): SVGGElement {
  const [x0, y0] = onArc(0, RADIUS);
  const [x1, y1] = onArc(1, RADIUS);
  const scale = svg('g', { class: 'gauge-scale' }, svg('path', { d: `M${x0} ${y0}A${RADIUS} ${RADIUS} 0 0 1 ${x1} ${y1}Z` }));
  for (let k = 0; k <= 50; k += 1) {
    const long = k % 5 === 0;
    const [ax, ay] = onArc(k / 50, RADIUS);
    const [bx, by] = onArc(k / 50, RADIUS + (long ? 9 : 5));
    scale.append(svg('path', { d: `M${ax.toFixed(1)} ${ay.toFixed(1)}L${bx.toFixed(1)} ${by.toFixed(1)}` }));
  }
  scale.append(text(x0 - 8, y0 + 15, 'flat', 'start'), text(x1 + 12, y1 + 15, 'formed', 'end'));
  return scale;
}

export class Gauge {
  readonly tray = html('div');
  private readonly swept = svg('path', { class: 'gauge-swept' });
  private readonly needle = svg('path', { class: 'gauge-needle' });
  private readonly figure = text(CENTRE.x, CENTRE.y - 30, '', 'middle');
  private readonly dial: SVGSVGElement;
  private readonly whole = html('input', { type: 'radio', name: 'gauge', id: 'gauge-kit', value: 'kit' });
  private readonly one = html('input', { type: 'radio', name: 'gauge', id: 'gauge-plate', value: 'plate', checked: true });
  private readonly note = html('p', { class: 'quiet', id: 'gauge-note' });
  private stage = 1;
  private used = false;
  private picked = '';
  private glide = 0;

  constructor(
    private readonly body: BodyView,
    private readonly arrangement: Arrangement,
    private readonly desk: Desk,
  ) {
    this.dial = svg(
      'svg',
      {
        id: 'gauge', class: 'gauge', width: WIDTH, height: HEIGHT, viewBox: `0 0 ${WIDTH} ${HEIGHT}`, tabindex: 0, role: 'slider',
        'aria-label': 'Bending gauge', 'aria-valuemin': 0, 'aria-valuemax': 100,
      },
      this.swept,
      protractor(),
      this.needle,
      svg('circle', { class: 'gauge-hub', cx: CENTRE.x, cy: CENTRE.y, r: 4 }),
      this.figure,
    );
    const up = html('button', { type: 'button', id: 'bend-up' }, 'Bend up');
    const flat = html('button', { type: 'button', id: 'lay-flat' }, 'Lay flat');
    this.tray.append(
      html('p', { class: 'line' }, html('label', {}, this.one, ' picked plate'), html('label', {}, this.whole, ' whole kit, in order')),
      this.dial,
      html('p', { class: 'line' }, flat, up),
      this.note,
    );
    up.addEventListener('click', () => this.glideTo(1));
    flat.addEventListener('click', () => this.glideTo(0));
    for (const choice of [this.one, this.whole]) choice.addEventListener('change', () => this.begin());
    this.listen();
    this.show();
  }

  use(on: boolean): void {
    this.used = on;
    if (on) this.begin();
    else {
      this.stop();
      this.arrangement.setBending(null);
    }
  }

  pick(id: string): void {
    if (id === this.picked) return;
    this.picked = id;
    if (this.used && this.one.checked) this.begin();
  }

  /** Another body: the gauge starts from formed again. */
  renew(): void {
    if (this.used) this.begin();
  }

  private begin(): void {
    this.stop();
    this.set(1);
  }

  private get bends(): boolean {
    return this.whole.checked || Boolean(this.body.part(this.picked)?.bend);
  }

  private set(stage: number): void {
    this.stage = this.bends ? Math.min(1, Math.max(0, stage)) : 1;
    if (this.used) this.arrangement.setBending({ plate: this.whole.checked ? null : this.picked, stage: this.stage });
    this.show();
  }

  private show(): void {
    const [x, y] = onArc(this.stage, RADIUS - 2);
    // Square to the pointer, on either side of its hub.
    const [dx, dy] = [(NEEDLE_PX * (y - CENTRE.y)) / RADIUS, (NEEDLE_PX * (CENTRE.x - x)) / RADIUS];
    this.needle.setAttribute('d', `M${CENTRE.x + dx} ${CENTRE.y + dy}L${x} ${y}L${CENTRE.x - dx} ${CENTRE.y - dy}Z`);
    const [x0, y0] = onArc(0, RADIUS);
    const [xs, ys] = onArc(this.stage, RADIUS);
    this.swept.setAttribute('d', `M${CENTRE.x} ${CENTRE.y}L${x0} ${y0}A${RADIUS} ${RADIUS} 0 0 1 ${xs} ${ys}Z`);
    const words = this.words();
    this.figure.textContent = words.figure;
    this.note.textContent = words.note;
    this.dial.setAttribute('aria-valuenow', (100 * this.stage).toFixed(0));
    this.dial.setAttribute('aria-valuetext', `${words.figure}; ${words.note}`);
    this.dial.setAttribute('aria-disabled', String(!this.bends));
  }

  private words(): { figure: string; note: string } {
    if (this.whole.checked) {
      const steps = this.arrangement.kitSteps;
      const done = Math.floor(this.stage * steps + 1e-9);
      if (done >= steps) return { figure: `${steps} of ${steps}`, note: 'All is formed and in place.' };
      const hand = this.arrangement.inHand(this.stage);
      return { figure: `${done} of ${steps}`, note: hand ? `In hand: ${this.desk.nameOf(hand)}` : 'The kit lies flat.' };
    }
    const bend = this.body.part(this.picked)?.bend;
    if (!this.picked) return { figure: '', note: 'Pick a plate, or bend the whole kit.' };
    const name = this.desk.nameOf(this.picked);
    if (!bend) return { figure: '', note: `${name} is not bent.` };
    const all = bend.turn_deg;
    return {
      figure: `${(all * this.stage).toFixed(0)}° of ${all.toFixed(0)}°`,
      note: this.stage === 1 ? `${name}, formed` : this.stage === 0 ? `${name}, flat` : `${name}, all bends together`,
    };
  }

  private stop(): void {
    cancelAnimationFrame(this.glide);
    this.glide = 0;
  }

  private glideTo(goal: number): void {
    this.stop();
    if (still()) {
      this.set(goal);
      return;
    }
    const from = this.stage;
    const takes = 1000 * Math.abs(goal - from) * (this.whole.checked ? STEP_S * this.arrangement.kitSteps : PLATE_S);
    const start = performance.now();
    const next = (now: number): void => {
      const share = takes > 0 ? Math.min(1, (now - start) / takes) : 1;
      this.set(from + (goal - from) * share);
      if (share < 1) this.glide = requestAnimationFrame(next);
    };
    this.glide = requestAnimationFrame(next);
  }

  private listen(): void {
    const point = (event: PointerEvent): void => {
      const box = this.dial.getBoundingClientRect();
      const angle = Math.atan2(CENTRE.y - (event.clientY - box.top), event.clientX - box.left - CENTRE.x);
      // Below the scale the nearer end counts.
      const stage = angle >= 0 ? 1 - angle / Math.PI : event.clientX - box.left < CENTRE.x ? 0 : 1;
      this.stop();
      this.set(stage);
    };
    this.dial.addEventListener('pointerdown', (event) => {
      event.preventDefault();
      this.dial.setPointerCapture(event.pointerId);
      this.dial.focus();
      point(event);
    });
    this.dial.addEventListener('pointermove', (event) => {
      if (this.dial.hasPointerCapture(event.pointerId)) point(event);
    });
    this.dial.addEventListener('keydown', (event) => {
      const small = this.whole.checked ? 0.5 / this.arrangement.kitSteps : 0.02;
      const wanted: Record<string, number> = {
        ArrowRight: this.stage + small, ArrowUp: this.stage + small, ArrowLeft: this.stage - small, ArrowDown: this.stage - small,
        PageUp: this.stage + 5 * small, PageDown: this.stage - 5 * small, Home: 0, End: 1,
      };
      const stage = wanted[event.key];
      if (stage === undefined || event.ctrlKey || event.altKey || event.metaKey) return;
      event.preventDefault();
      this.stop();
      this.set(Math.abs(stage - 1) < 1e-9 ? 1 : stage);
    });
  }
}
