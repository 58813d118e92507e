// What the picked plate meets: its joints, with the gap between the two.

import type { Joint, Side } from './api';
import { html, mm, words } from './dom';

export interface Meeting {
  joint: Joint;
  own: Side;
  other: Side;
}

export function meetingsOf(joints: Joint[], plate: string): Meeting[] {
  return joints.flatMap((joint) => {
    if (joint.a.plate === plate) return [{ joint, own: joint.a, other: joint.b }];
    if (joint.b.plate === plate) return [{ joint, own: joint.b, other: joint.a }];
    return [];
  });
}

export interface MeetingEvents {
  /** A meeting is under the pointer or in focus. */
  pointed(meeting: Meeting | null): void;
  chosen(plate: string): void;
  nameOf(plate: string): string;
}

const fits = ({ range_mm: [low, high], limit_mm: [least, most] }: Joint): boolean => low >= least - 1e-9 && high <= most + 1e-9;

export function meetingsTable(meetings: Meeting[], events: MeetingEvents): HTMLTableElement {
  const rows = meetings.map((meeting) => {
    const { joint, own, other } = meeting;
    const name = events.nameOf(other.plate);
    const button = html('button', { type: 'button', class: 'plain', 'data-meets': other.plate, title: `Its ${words(other.feature)}` }, name);
    button.addEventListener('click', () => events.chosen(other.plate));
    button.addEventListener('focus', () => events.pointed(meeting));
    button.addEventListener('blur', () => events.pointed(null));
    const gap = html('td', { title: `Allowed ${mm(joint.limit_mm[0])} to ${mm(joint.limit_mm[1])} mm; most from ${joint.largest_contributor}` });
    gap.append(`${mm(joint.gap_mm)}`);
    const worst = `${mm(joint.range_mm[0])} … ${mm(joint.range_mm[1])}${fits(joint) ? '' : ' !'}`;
    const row = html('tr', { class: fits(joint) ? '' : 'misfit' }, html('th', { scope: 'row' }, button, html('span', { class: 'quiet' }, ` ${words(own.feature)}, ${joint.kind}`)), gap, html('td', {}, worst));
    row.addEventListener('pointerenter', () => events.pointed(meeting));
    row.addEventListener('pointerleave', () => events.pointed(null));
    return row;
  });
  return html(
    'table',
    { id: 'meetings' },
    html('caption', {}, 'Meets, mm'),
    html('thead', {}, html('tr', {}, ...['Plate', 'Gap', 'At worst'].map((head) => html('th', { scope: 'col' }, head)))),
    html('tbody', {}, ...rows),
  );
}
