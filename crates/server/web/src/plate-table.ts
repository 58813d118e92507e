// The figures of the picked plate: edges flat and formed, holes, rivets, etched places.

import type { Flat, Plate, Region } from './api';
import { html, mm, words } from './dom';
import { holeSize } from './flat-view';

function table(caption: string, heads: string[], rows: string[][]): HTMLTableElement {
  const cell = (text: string, k: number): HTMLElement => html(k === 0 ? 'th' : 'td', k === 0 ? { scope: 'row' } : {}, text);
  return html(
    'table',
    {},
    html('caption', {}, caption),
    html('thead', {}, html('tr', {}, ...heads.map((head) => html('th', { scope: 'col' }, head)))),
    html('tbody', {}, ...rows.map((row) => html('tr', {}, ...row.map(cell)))),
  );
}

/** Rows that read alike are one row with a count. */
function counted(items: { name: string; size: string }[]): string[][] {
  const bySize = new Map<string, string[]>();
  for (const item of items) bySize.set(item.size, [...(bySize.get(item.size) ?? []), item.name]);
  return [...bySize].map(([size, names]) => [names.length > 3 ? `${names.slice(0, 2).join(', ')} …` : names.join(', '), String(names.length), size]);
}

function rivetRows(flat: Flat): string[][] {
  const rows = new Map<string, { count: number; head: number }>();
  for (const rivet of flat.rivets) {
    const key = `${rivet.row} ${rivet.head_mm.toFixed(3)}`;
    const known = rows.get(key);
    if (known) known.count += 1;
    else rows.set(key, { count: 1, head: rivet.head_mm });
  }
  return [...rows].map(([key, row]) => [words(key.replace(/ [\d.]+$/, '')), String(row.count), `Ø ${mm(row.head)}`]);
}

function regionName(region: Region, thickness: number): string {
  const depth = region.face === 'outside' ? thickness / 2 - region.z_high_mm : region.z_low_mm + thickness / 2;
  const step = depth > 0.0005 ? `${mm(depth)} deep` : depth < -0.0005 ? `${mm(-depth)} proud` : 'on the face';
  return `${words(region.purpose)}, ${region.face}, ${step}`;
}

function regionRows(flat: Flat): string[][] {
  const rows = new Map<string, number>();
  for (const region of flat.regions) {
    const name = regionName(region, flat.thickness_mm);
    rows.set(name, (rows.get(name) ?? 0) + 1);
  }
  return [...rows].map(([name, count]) => [name, String(count)]);
}

/** Fills the panel; without a flat only what the list knows is shown. */
export function fillPlateTable(
  panel: HTMLElement,
  plate: Plate,
  flat: Flat | null,
  size: { length: number; width: number } | null,
): void {
  panel.replaceChildren();
  const facts: [string, string][] = [
    ['Thickness', `${mm(plate.thickness_mm)} mm ${words(plate.metal)}`],
    ['Made', plate.formed === 'rolled' ? 'rolled or folded' : 'left flat'],
  ];
  if (size) facts.push(['Flat, overall', `${mm(size.length)} × ${mm(size.width)} mm`]);
  facts.push(['Area of flat', `${plate.flat_area_mm2.toFixed(1)} mm²`]);
  const list = html('dl', {});
  for (const [name, value] of facts) list.append(html('dt', {}, name), html('dd', {}, value));
  panel.append(list);
  if (plate.edges.length > 0) {
    const rows = plate.edges.map((edge) => [words(edge.name), edge.flat_mm.toFixed(3), edge.formed_mm.toFixed(3)]);
    panel.append(table('Edges, mm', ['Edge', 'Flat', 'Formed'], rows));
  }
  if (!flat) return;
  if (flat.holes.length > 0) {
    const rows = counted(flat.holes.map((hole) => ({ name: words(hole.feature), size: holeSize(hole) })));
    panel.append(table('Holes, mm on the flat', ['Hole', 'Off', 'Size'], rows));
  }
  if (flat.rivets.length > 0) panel.append(table('Rivets', ['Row', 'Off', 'Head'], rivetRows(flat)));
  if (flat.regions.length > 0) panel.append(table('Etched and laid-on places', ['Place', 'Off'], regionRows(flat)));
}
