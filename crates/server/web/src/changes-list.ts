// What the edit touches, before and after: plates to be etched again, joints, findings.

import { Refusal, type Reading } from './api';
import { html, mm, words } from './dom';
import { fetchDifference, type Difference } from './draft-api';

/** Joints and lengths are many; the rest is counted. */
const MOST = 12;

export class ChangesList {
  private asking: AbortController | null = null;

  constructor(
    private readonly host: HTMLElement,
    private readonly pick: (plate: string) => void,
  ) {
    this.show(null);
  }

  /** Compares a draft with the file; without one nothing is changed. */
  async follow(reading: Reading, draft: string): Promise<void> {
    this.asking?.abort();
    const asking = new AbortController();
    this.asking = asking;
    if (!draft) {
      this.show(null);
      return;
    }
    try {
      const found = await fetchDifference(reading, draft, asking.signal);
      if (!asking.signal.aborted) this.show(found);
    } catch (reason) {
      if (asking.signal.aborted) return;
      if (!(reason instanceof Refusal)) throw reason;
      // Mostly: the file itself cannot be built, so that there is nothing to compare with.
      this.host.replaceChildren(html('p', { class: 'quiet' }, `What changes is not known: ${reason.problem.title.toLowerCase()}.`));
    }
  }

  private show(found: Difference | null): void {
    if (!found || found.same) {
      const text = found ? 'The edit changes nothing that is made.' : 'Nothing differs from the file.';
      this.host.replaceChildren(html('p', { class: 'quiet' }, text));
      return;
    }
    const again = found.sheets.filter((sheet) => sheet.etch_again).length;
    const lists = [
      html('p', {}, `${count(found.plates.length, 'plate')}, ${count(found.joints.length, 'joint')}, ${count(found.findings.length, 'finding')} touched; ${count(again, 'sheet')} to be etched again.`),
      list('Plates', found.plates.map((plate) => this.plate(plate))),
      list('Findings', found.findings.map((own) => html('li', {}, html('strong', {}, `${own.severity}, ${own.change}`), ` ${own.sentence}`, figures(own.before_mm, own.after_mm)))),
      list('Joints', found.joints.map((own) => html('li', {}, words(own.joint), figures(own.before?.gap_mm ?? null, own.after?.gap_mm ?? null)))),
    ];
    this.host.replaceChildren(...lists.filter((own) => own !== null));
  }

  private plate(plate: Difference['plates'][number]): HTMLLIElement {
    const moved = Math.max(plate.outline_moved_mm ?? 0, plate.body_moved_mm ?? 0);
    const button = html('button', { type: 'button', class: 'plain' }, plate.title);
    button.addEventListener('click', () => this.pick(plate.plate));
    return html('li', {}, button, ` ${words(plate.change)}${moved >= 0.005 ? `, by up to ${mm(moved)} mm` : ''}`);
  }
}

const count = (n: number, word: string): string => `${n} ${word}${n === 1 ? '' : 's'}`;

function figures(before: number | null, after: number | null): string {
  if (before === null && after === null) return '';
  const figure = (value: number | null): string => (value === null ? 'none' : mm(value));
  return `: ${figure(before)} before, ${figure(after)} after (mm)`;
}

function list(title: string, items: HTMLLIElement[]): HTMLElement | null {
  if (items.length === 0) return null;
  const more = items.length - MOST;
  const shown = items.slice(0, MOST);
  if (more > 0) shown.push(html('li', { class: 'quiet' }, `and ${more} more`));
  return html('div', {}, html('h3', {}, title), html('ul', {}, ...shown));
}
