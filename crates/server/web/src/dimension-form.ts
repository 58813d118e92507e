// The model file as a form: its keys by sub-assembly, each with its length on the model beside it.

import { html, mm } from './dom';
import { groupOf, keyWords, rangeWords, type Field } from './field';
import type { WorkingCopy } from './working-copy';

type Control = HTMLInputElement | HTMLSelectElement;

interface Row {
  field: Field;
  row: HTMLElement;
  control: Control;
  model: HTMLElement;
  note: HTMLElement;
}

const GROUPS: Record<string, string> = { '': 'The engine', 'metal.4mm': 'Sheet and process, 4 mm', 'metal.7mm': 'Sheet and process, 7 mm' };

export class DimensionForm {
  private readonly rows = new Map<string, Row>();
  private readonly groups = html('div', { class: 'groups scroll' });
  private readonly search: HTMLInputElement;
  private readonly none = html('p', { class: 'quiet', hidden: true }, 'No key has these words.');
  /** Faults that stand at no key of the form. */
  private readonly faults = html('ul', { class: 'form-faults' });
  private listed = '';

  constructor(
    host: HTMLElement,
    private readonly changed: (field: Field, value: string) => void,
  ) {
    this.search = html('input', { type: 'search', id: 'find-key', autocomplete: 'off' });
    host.append(html('label', { class: 'find-key', for: 'find-key' }, 'Find ', this.search), this.none, this.faults, this.groups);
    this.search.addEventListener('input', () => this.sift());
  }

  /** Shows the keys of the working copy; the control in focus keeps what is typed into it. */
  follow(copy: WorkingCopy): void {
    const list = copy.fields.map((field) => `${field.path} ${field.kind}`).join('\n');
    if (list !== this.listed) {
      this.listed = list;
      this.fill(copy.fields);
    }
    const faults = new Map(copy.places().map((place) => [place.path ?? '', `${place.message}${place.help ? `; ${place.help}` : ''}`]));
    for (const field of copy.fields) {
      const row = this.rows.get(field.path);
      if (row) this.show(row, field, faults.get(field.path) ?? '', copy.mayEdit);
    }
    const elsewhere = [...faults].filter(([path]) => !this.rows.has(path)).map(([path, words]) => `${path ? `${path}: ` : ''}${words}`);
    if (elsewhere.join('\n') !== this.faults.innerText) this.faults.replaceChildren(...elsewhere.map((words) => html('li', {}, words)));
    for (const group of this.groups.querySelectorAll<HTMLElement>('details')) {
      group.classList.toggle('wrong', group.querySelector('[aria-invalid="true"]') !== null);
    }
  }

  /** Opens the group of a key, or the first there is, and goes to its control. */
  goTo(path: string): void {
    const row = this.rows.get(path) ?? [...this.rows.values()][0];
    const group = row?.row.closest('details');
    if (group) group.open = true;
    row?.control.focus();
  }

  private fill(fields: Field[]): void {
    const focused = document.activeElement?.id ?? '';
    const open = new Set([...this.groups.querySelectorAll<HTMLDetailsElement>('details[open]')].map((own) => own.dataset.group ?? ''));
    const first = this.rows.size === 0;
    this.rows.clear();
    const groups = new Map<string, HTMLElement[]>();
    for (const field of fields) {
      const row = this.row(field);
      this.rows.set(field.path, row);
      const group = groupOf(field.path);
      groups.set(group, [...(groups.get(group) ?? []), row.row]);
    }
    this.groups.replaceChildren(
      ...[...groups].map(([group, rows]) => {
        const isOpen = first ? group === 'boiler' : open.has(group);
        const details = html('details', { 'data-group': group, open: isOpen });
        details.append(html('summary', {}, GROUPS[group] ?? capital(keyWords(group)), ' ', html('span', { class: 'quiet' }, String(rows.length))), ...rows);
        return details;
      }),
    );
    this.sift();
    if (focused) document.getElementById(focused)?.focus();
  }

  private row(field: Field): Row {
    const id = `key-${field.path}`;
    const group = groupOf(field.path);
    const name = capital(keyWords(group === '' ? field.path : field.path.slice(group.length)));
    const control: Control =
      field.kind === 'word'
        ? html('select', { id }, ...['', ...field.words].map((word) => html('option', { value: word }, word)))
        : html('input', { id, type: 'text', autocomplete: 'off', spellcheck: 'false' });
    control.setAttribute('aria-describedby', `${id}-note`);
    const model = html('output', { class: 'model-mm', for: id });
    const note = html('p', { class: 'note', id: `${id}-note` });
    const row = html('div', { class: 'key', 'data-key': field.path }, html('label', { for: id, title: field.path }, name), control, model, note);
    const own: Row = { field, row, control, model, note };
    control.addEventListener(field.kind === 'word' ? 'change' : 'input', () => this.changed(own.field, control.value));
    return own;
  }

  private show(row: Row, field: Field, fault: string, mayEdit: boolean): void {
    row.field = field;
    const { control, model, note } = row;
    const given = field.written !== null;
    const value = field.written ?? '';
    if (control.value !== value && document.activeElement !== control) control.value = value;
    if (control instanceof HTMLInputElement) {
      control.readOnly = !mayEdit || (!given && !field.opening);
      // A default stands where the value would, in the words that the file could give it in.
      control.placeholder = given ? '' : (field.full_size ?? field.default ?? 'not given');
    } else {
      control.disabled = !mayEdit || (!given && !field.opening);
      const blank = control.options[0];
      if (blank) blank.text = field.default ?? 'not given';
    }
    const figure = field.mm === null ? '' : `${mm(field.mm)} mm`;
    if (model.textContent !== figure) model.textContent = figure;
    control.setAttribute('aria-invalid', String(fault !== ''));
    row.row.classList.toggle('default', !given);
    const words = fault || this.noteWords(field);
    if (note.textContent !== words) note.textContent = words;
    const isNew = fault !== '' && !note.classList.contains('fault');
    note.classList.toggle('fault', fault !== '');
    if (isNew && document.activeElement === control) row.row.scrollIntoView({ block: 'nearest' });
    // What may stand there is said of the field in hand; of the others it would drown the rest.
    note.classList.toggle('range', fault === '' && (field.from === 'none' || words === rangeWords(field)));
  }

  private noteWords(field: Field): string {
    if (field.from === 'default') return `default: ${field.default ?? ''}; ${field.source ?? ''}`;
    const range = field.kind === 'word' || field.kind === 'text' ? '' : rangeWords(field);
    if (field.from === 'none') return ['not given', range].filter(Boolean).join('; ');
    const full = field.full_size && field.written !== field.full_size ? field.full_size : '';
    return [full, range, field.from === 'variant' ? 'of the variant' : '', field.default ? `default ${field.default}` : ''].filter(Boolean).join('; ');
  }

  private sift(): void {
    const words = this.search.value.toLowerCase().split(/\s+/).filter(Boolean);
    let any = false;
    for (const group of this.groups.querySelectorAll<HTMLDetailsElement>('details')) {
      let here = false;
      for (const row of group.querySelectorAll<HTMLElement>('.key')) {
        const name = `${row.dataset.key?.replace(/[_.]/g, ' ') ?? ''} ${group.querySelector('summary')?.textContent ?? ''}`.toLowerCase();
        const fits = words.every((word) => name.includes(word));
        row.hidden = !fits;
        here ||= fits;
      }
      group.hidden = !here;
      any ||= here;
      if (words.length > 0 && here) group.open = true;
    }
    this.none.hidden = any || this.rows.size === 0;
  }
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
