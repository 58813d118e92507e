// Where the body is cut: the axis, the place along it by hand or in millimetres, and which side is kept.

import type { Box3 } from 'three';
import { html, mm } from './dom';
import type { Axis, Cut } from './section';

const isAxis = (word: string): word is Axis => word === 'x' || word === 'y' || word === 'z';

/** From where the place is measured. */
const FROM: Record<Axis, string> = { x: 'behind the front beam', y: 'left of the middle', z: 'above rail' };

export class SectionControls {
  readonly tray = html('div');
  private readonly axis = html('select', { id: 'cut-axis' });
  private readonly slider = html('input', { id: 'cut-at', type: 'range', step: 'any', 'aria-label': 'Place of the section' });
  private readonly figure = html('input', { id: 'cut-mm', type: 'number', step: '0.1', 'aria-label': 'Place of the section in millimetres' });
  private readonly from = html('span', { class: 'quiet', id: 'cut-from' });
  private readonly other = html('input', { id: 'cut-other', type: 'checkbox' });
  private bounds: Box3 | null = null;
  private on = false;

  constructor(private readonly changed: (cut: Cut | null) => void) {
    const choices = [
      ['x', 'across the engine'],
      ['y', 'along the engine'],
      ['z', 'level'],
    ] as const;
    this.axis.append(...choices.map(([value, title]) => html('option', { value }, title)));
    this.tray.append(
      html('label', {}, 'Cut ', this.axis),
      html('p', { class: 'line' }, this.slider),
      html('p', { class: 'line' }, html('label', {}, 'at ', this.figure, ' mm'), ' ', this.from),
      html('label', {}, this.other, ' keep the other side'),
    );
    this.axis.addEventListener('change', () => {
      this.range(true);
      this.tell();
    });
    this.slider.addEventListener('input', () => {
      this.figure.value = mm(Number(this.slider.value));
      this.tell();
    });
    this.figure.addEventListener('input', () => {
      if (this.figure.value === '' || !this.figure.validity.valid) return;
      this.slider.value = this.figure.value;
      this.tell();
    });
    this.other.addEventListener('change', () => this.tell());
  }

  use(on: boolean): void {
    this.on = on;
    this.tell();
  }

  setBounds(bounds: Box3): void {
    const first = this.bounds === null;
    this.bounds = bounds;
    this.range(first);
    this.tell();
  }

  private range(middle: boolean): void {
    const axis = this.axis.value;
    if (!this.bounds || !isAxis(axis)) return;
    const low = this.bounds.min[axis];
    const high = this.bounds.max[axis];
    const at = middle ? (low + high) / 2 : Number(this.slider.value);
    for (const field of [this.slider, this.figure]) {
      field.min = low.toFixed(2);
      field.max = high.toFixed(2);
      field.value = Math.min(high, Math.max(low, at)).toFixed(2);
    }
    // Typed places need not lie on a step.
    this.figure.step = 'any';
  }

  private tell(): void {
    const axis = this.axis.value;
    if (!isAxis(axis)) return;
    this.from.textContent = FROM[axis];
    this.slider.setAttribute('aria-valuetext', `${mm(Number(this.slider.value))} millimetres ${FROM[axis]}`);
    this.changed(this.on ? { axis, at_mm: Number(this.slider.value), other: this.other.checked } : null);
  }
}
