// The model file as text, with the numbers of its lines; a line with a fault is marked and says what it is.

import { html } from './dom';
import type { WorkingCopy } from './working-copy';

export class ModelText {
  private readonly area: HTMLTextAreaElement;
  private readonly numbers = html('div', { class: 'line-numbers', 'aria-hidden': 'true' });
  private readonly faults = html('ol', { class: 'text-faults', 'aria-label': 'Faults of the text' });
  private shownLines = '';

  constructor(host: HTMLElement, edited: (text: string) => void) {
    this.area = html('textarea', {
      id: 'text',
      'aria-label': 'Text of the model file',
      wrap: 'off',
      spellcheck: 'false',
      autocomplete: 'off',
      autocapitalize: 'off',
    });
    const paper = html('div', { class: 'text-paper' }, this.numbers, this.area);
    host.append(paper, this.faults);
    this.area.addEventListener('input', () => edited(this.area.value));
    this.area.addEventListener('scroll', () => (this.numbers.scrollTop = this.area.scrollTop));
  }

  follow(copy: WorkingCopy): void {
    const { area } = this;
    area.readOnly = !copy.mayEdit;
    if (area.value !== copy.text) {
      const { selectionStart, scrollTop } = area;
      const grown = copy.text.length - area.value.length;
      area.value = copy.text;
      // The cursor stays with the text that it stood in, as near as can be told.
      if (document.activeElement === area) area.setSelectionRange(selectionStart + Math.max(grown, 0), selectionStart + Math.max(grown, 0));
      area.scrollTop = scrollTop;
    }
    this.number(copy);
  }

  private number(copy: WorkingCopy): void {
    const lines = copy.text.split('\n').length;
    const faults = copy.places().filter((place) => place.line);
    const key = JSON.stringify([lines, faults]);
    if (key === this.shownLines) return;
    this.shownLines = key;
    const wrong = new Set(faults.map((place) => place.line));
    this.numbers.replaceChildren(
      ...Array.from({ length: lines }, (_, k) => html('span', wrong.has(k + 1) ? { class: 'wrong' } : {}, String(k + 1))),
    );
    this.numbers.scrollTop = this.area.scrollTop;
    this.area.setAttribute('aria-invalid', String(faults.length > 0));
    this.faults.replaceChildren(
      ...faults.map((place) => {
        const button = html('button', { type: 'button', class: 'plain' }, html('strong', {}, `line ${place.line}, column ${place.column}`), `: ${place.message}`);
        button.addEventListener('click', () => this.go(place.line ?? 1, place.column ?? 1));
        return html('li', {}, button, place.help ? html('span', { class: 'help' }, ` ${place.help}`) : null);
      }),
    );
  }

  private go(line: number, column: number): void {
    const { area } = this;
    const lines = area.value.split('\n');
    const start = lines.slice(0, line - 1).reduce((sum, own) => sum + own.length + 1, 0);
    const width = (lines[line - 1] ?? '').length;
    area.focus();
    area.setSelectionRange(start + Math.min(column - 1, width), start + width);
    area.scrollTop = (area.scrollHeight / Math.max(lines.length, 1)) * Math.max(line - 4, 0);
  }
}
