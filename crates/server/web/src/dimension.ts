// Dimension lines as drawings have them: thin, with slender arrowheads, the figure above the line.

import { svg } from './dom';

const ARROW_PX = 9;
const GAP_PX = 3;
const OVERSHOOT_PX = 4;
/** Shorter dimensions take their arrowheads outside and the figure beside. */
const ROOMY_PX = 58;

/** A dimension along x, from `from` to `to`, of edges that end at `edge`; the line lies at `at`. */
function along(from: number, to: number, edge: number, at: number, figure: string): SVGGElement {
  const away = Math.sign(at - edge);
  const roomy = to - from >= ROOMY_PX;
  const arrow = (tip: number, towards: number): SVGPathElement =>
    svg('path', { class: 'arrow', d: `M${tip} ${at}l${towards * ARROW_PX} -2.2v4.4Z` });
  const reach = roomy ? 0 : ARROW_PX + 8;
  const group = svg('g', { class: 'dimension' });
  for (const x of [from, to]) {
    group.append(svg('path', { d: `M${x} ${edge + away * GAP_PX}V${at + away * OVERSHOOT_PX}` }));
  }
  group.append(
    svg('path', { d: `M${from - reach} ${at}H${to + reach}` }),
    arrow(from, roomy ? 1 : -1),
    arrow(to, roomy ? -1 : 1),
    // Off the middle, where the centre line runs.
    svg('text', { x: roomy ? (from + to) / 2 - 5 : to + reach + 4, y: roomy ? at - 4 : at + 4, class: roomy ? 'before' : '' }, figure),
  );
  return group;
}

/** A level dimension below (or above) a shape. */
export function levelDimension(x0: number, x1: number, edgeY: number, lineY: number, figure: string): SVGGElement {
  return along(x0, x1, edgeY, lineY, figure);
}

/** An upright dimension beside a shape, to be read from the right-hand side of the sheet. */
export function uprightDimension(y0: number, y1: number, edgeX: number, lineX: number, figure: string): SVGGElement {
  const group = along(-y1, -y0, edgeX, lineX, figure);
  group.setAttribute('transform', 'rotate(-90)');
  return group;
}

/** Round steps for a scale bar, and its drawing. */
export function scaleBar(pxPerMm: number, roomPx: number): SVGGElement {
  const steps = [200, 100, 50, 20, 10, 5, 2, 1, 0.5];
  const length = steps.find((step) => step * pxPerMm <= roomPx) ?? 0.5;
  const px = length * pxPerMm;
  const group = svg('g', { class: 'scale-bar', transform: 'translate(1 9)' });
  for (let part = 0; part < 4; part += 1) {
    const tone = part % 2 === 0 ? 'dark' : 'light';
    group.append(svg('rect', { x: (px / 4) * part, y: 0, width: px / 4, height: 4, class: tone }));
  }
  group.append(svg('text', { x: px + 6, y: 6 }, `${length} mm`));
  return group;
}
