// Figures with leader lines, set where they do not lie over one another.

import { svg } from './dom';

interface Box {
  x: number;
  y: number;
  width: number;
  height: number;
}

const LETTER_PX = 6.4;
const LINE_PX = 13;

const overlap = (a: Box, b: Box): boolean =>
  a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height;

/** Where a figure may stand, and the leader line to it if it needs one. */
interface Spot {
  x: number;
  y: number;
  lead: string | null;
}

export interface Label {
  text: string;
  /** Middle and half size (px) of what is named. */
  x: number;
  y: number;
  reach: number;
}

/**
 * Places what finds room within `room` and beside `taken`, away from `shunned` where that can be; the rest stands in
 * the table only.
 */
export function leaders(labels: Label[], room: Box, taken: Box[], shunned: Box[]): SVGGElement {
  const group = svg('g', { class: 'leaders' });
  const used = [...taken];
  for (const label of labels) {
    const width = label.text.length * LETTER_PX + 6;
    const inside = label.reach * 2 > width + 8;
    const places: Spot[] = inside ? [{ x: label.x - width / 2, y: label.y - LINE_PX / 2, lead: null }] : around(label, width);
    const clear = (place: Spot, boxes: Box[]): boolean => {
      const box = { x: place.x, y: place.y, width, height: LINE_PX };
      const fits =
        box.x >= room.x && box.y >= room.y && box.x + width <= room.x + room.width && box.y + LINE_PX <= room.y + room.height;
      return fits && !boxes.some((other) => overlap(other, box));
    };
    const place = places.find((spot) => clear(spot, [...used, ...shunned])) ?? places.find((spot) => clear(spot, used));
    if (!place) continue;
    used.push({ x: place.x, y: place.y, width, height: LINE_PX });
    if (place.lead) group.append(svg('path', { d: place.lead }));
    group.append(svg('text', { x: place.x + 3, y: place.y + LINE_PX - 3 }, label.text));
  }
  return group;
}

function around(label: Label, width: number): Spot[] {
  return [12, 22, 32].flatMap((out) =>
    [
      [1, -1],
      [1, 1],
      [-1, -1],
      [-1, 1],
    ].map(([sx, sy]) => {
      const right = sx ?? 1;
      const down = sy ?? 1;
      const startX = label.x + right * label.reach * 0.7071;
      const startY = label.y + down * label.reach * 0.7071;
      const kneeX = startX + right * out;
      const kneeY = startY + down * out;
      return {
        x: right > 0 ? kneeX + 3 : kneeX - 3 - width,
        y: kneeY - LINE_PX / 2,
        lead: `M${startX} ${startY}L${kneeX} ${kneeY}h${right * 4}`,
      };
    }),
  );
}
