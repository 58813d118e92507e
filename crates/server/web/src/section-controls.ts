// Where the body is cut: the axis, the place along it, and which side is kept.

import type { Box3 } from 'three';
import { byId, mm } from './dom';
import type { Axis, Cut } from './section';

const isAxis = (word: string): word is Axis => word === 'x' || word === 'y' || word === 'z';

export class SectionControls {
  private readonly axis = byId<HTMLSelectElement>('cut-axis');
  private readonly slider = byId<HTMLInputElement>('cut-at');
  private readonly figure = byId<HTMLOutputElement>('cut-figure');
  private readonly other = byId<HTMLInputElement>('cut-other');
  private bounds: Box3 | null = null;

  constructor(private readonly changed: (cut: Cut | null) => void) {
    this.axis.addEventListener('change', () => {
      this.range(true);
      this.tell();
    });
    this.slider.addEventListener('input', () => this.tell());
    this.other.addEventListener('change', () => this.tell());
    this.range(true);
    this.show();
  }

  setBounds(bounds: Box3): void {
    this.bounds = bounds;
    this.range(false);
    this.tell();
  }

  private range(middle: boolean): void {
    const axis = this.axis.value;
    if (!this.bounds || !isAxis(axis)) return;
    const low = this.bounds.min[axis];
    const high = this.bounds.max[axis];
    const at = middle ? (low + high) / 2 : Number(this.slider.value);
    this.slider.min = low.toFixed(2);
    this.slider.max = high.toFixed(2);
    this.slider.value = Math.min(high, Math.max(low, at)).toFixed(2);
  }

  private show(): void {
    const on = isAxis(this.axis.value);
    this.slider.disabled = !on;
    this.other.disabled = !on;
    this.figure.textContent = on ? `${this.axis.value} ${mm(Number(this.slider.value))} mm` : '';
    this.slider.setAttribute('aria-valuetext', on ? `${mm(Number(this.slider.value))} millimetres` : 'no section');
  }

  private tell(): void {
    this.show();
    const axis = this.axis.value;
    this.changed(isAxis(axis) ? { axis, at_mm: Number(this.slider.value), other: this.other.checked } : null);
  }
}
