// The centre line that the body and the flat below it have in common.

import { svg } from './dom';

/** Long dashes and dots, as ISO 128 type 04: the pattern itself stands in the style sheet. */
export class CentreLine {
  private readonly whole = svg('path', { class: 'centre-line' });
  private readonly upper = svg('path', { class: 'centre-line' });

  constructor(private readonly host: SVGSVGElement) {
    host.append(this.whole, this.upper);
  }

  hide(): void {
    this.whole.removeAttribute('d');
    this.upper.removeAttribute('d');
  }

  /**
   * Draws the line at `body_px` through the body and at `flat_px` through the flat. They are one line unless the
   * body or the flat was drawn aside by hand.
   */
  draw(body_px: number, flat_px: number, reach: { top: number; middle: number; bottom: number }): void {
    const { top, middle, bottom } = reach;
    this.host.dataset.common = String(Math.abs(body_px - flat_px) < 1);
    if (Math.abs(body_px - flat_px) < 1) {
      this.whole.setAttribute('d', `M${flat_px} ${top + 6}V${bottom - 6}`);
      this.upper.removeAttribute('d');
      return;
    }
    this.upper.setAttribute('d', `M${body_px} ${top + 6}V${middle - 4}`);
    this.whole.setAttribute('d', `M${flat_px} ${middle + 4}V${bottom - 6}`);
  }
}
