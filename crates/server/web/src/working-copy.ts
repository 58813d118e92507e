// The text of the model file as it stands in the page: one text, one history, whichever view edits it.

import type { Problem, ProblemPlace } from './api';
import { asToml, lineOf, shifted, type Field } from './field';
import { forget, keep, kept, type KeptEdit } from './kept-edit';
import { applied, difference, History, type Edit } from './text-edit';

export interface CopyEvents {
  /** The text changed; by a hand if `edited`. */
  text(edited: boolean): void;
  /** Fields, problem or what is saved changed. */
  state(): void;
}

export class WorkingCopy {
  model = '';
  text = '';
  /** What stands in the file, and its tag. */
  saved = '';
  tag = '';
  fields: Field[] = [];
  problem: Problem | null = null;
  /** The file changed on disk while it was being edited here. */
  changedOnDisk = false;
  /** An edit of an earlier visit. */
  offered: KeptEdit | null = null;
  /** Whether the last edit could be kept in the browser. */
  isKept = true;
  /** Of all tabs on this model this is the one that edits. */
  hasPen = false;
  /** When the last edit was made, by the clock of `performance`. */
  touched = 0;
  private readonly history = new History();

  constructor(private readonly events: CopyEvents) {}

  /** An edit that is offered is taken up or thrown away before another begins, which would be kept in its place. */
  get mayEdit(): boolean {
    return this.hasPen && this.offered === null;
  }

  get isDirty(): boolean {
    return this.text !== this.saved;
  }

  get canUndo(): boolean {
    return this.history.canUndo;
  }

  get canRedo(): boolean {
    return this.history.canRedo;
  }

  /** Takes the text of a file. An edit of another text of it is offered, never laid over it unasked. */
  open(model: string, text: string, tag: string): void {
    const other = model !== this.model;
    this.model = model;
    this.saved = text;
    this.tag = tag;
    this.changedOnDisk = false;
    if (other) {
      this.history.clear();
      this.fields = [];
      this.problem = null;
      const edit = kept(model);
      this.offered = edit && edit.text !== text ? edit : null;
      if (edit && !this.offered) forget(model);
      this.put(text, false);
    } else if (this.text !== text) {
      // What was edited here stays one step back.
      this.make({ ...difference(this.text, text), by: '', when: performance.now() }, true);
    }
    this.events.state();
  }

  /** The file has another text by now than the one that the edit began from. */
  setChangedOnDisk(): void {
    this.changedOnDisk = true;
    this.events.state();
  }

  /** This tab edits from now on, or no more; what another tab had not saved is offered. */
  setPen(has: boolean): void {
    this.hasPen = has;
    const edit = has && this.model !== '' ? kept(this.model) : null;
    this.offered = edit && edit.text !== this.text ? edit : null;
    this.events.state();
  }

  takeOffered(): void {
    const edit = this.offered;
    this.offered = null;
    if (edit) {
      this.changedOnDisk = edit.tag !== this.tag;
      this.edit(edit.text, '');
    }
    this.events.state();
  }

  dropOffered(): void {
    this.offered = null;
    this.keepOrForget();
    this.events.state();
  }

  /** Puts another text in place of this one. */
  edit(text: string, by: string): void {
    const piece = difference(this.text, text);
    if (piece.before === '' && piece.after === '') return;
    this.make({ ...piece, by, when: performance.now() });
  }

  /** Writes the value of a key; an empty one takes the key away where the file can do without. */
  setField(field: Field, value: string): void {
    const by = `field ${field.path}`;
    const when = performance.now();
    const { at, opening } = field;
    if (at) {
      const line = value === '' && field.kind !== 'text' ? lineOf(this.text, at) : null;
      if (line) {
        const before = this.text.slice(line.from, line.to);
        const head = this.text.slice(line.from, at.from);
        field.at = null;
        field.written = null;
        this.make({ at: line.from, before, after: '', by, when });
        field.opening = { at: line.from, before: head, after: tailOf(before) };
        return;
      }
      const after = asToml(field.kind, value);
      field.written = value;
      this.make({ at: at.from, before: this.text.slice(at.from, at.to), after, by, when });
    } else if (opening && value !== '') {
      const written = asToml(field.kind, value);
      const line = this.text.slice(0, opening.at).split('\n').length + (opening.before.match(/\n/g)?.length ?? 0);
      field.written = value;
      field.opening = null;
      this.make({ at: opening.at, before: '', after: opening.before + written + opening.after, by, when });
      const from = opening.at + opening.before.length;
      field.at = { line, column: 1, from, to: from + written.length };
    }
  }

  undo(): void {
    const edit = this.mayEdit ? this.history.undo() : null;
    if (edit) this.apply(edit);
  }

  redo(): void {
    const edit = this.mayEdit ? this.history.redo() : null;
    if (edit) this.apply(edit);
  }

  /** What the server says of this text. */
  answered(fields: Field[], problem: Problem | null): void {
    // A text that is no TOML has no keys: those of before stay to be looked at.
    if (fields.length > 0) this.fields = fields;
    this.problem = problem;
    this.events.state();
  }

  savedAs(text: string, tag: string): void {
    this.saved = text;
    this.tag = tag;
    this.changedOnDisk = false;
    this.keepOrForget();
    this.events.state();
  }

  places(): ProblemPlace[] {
    // A key that is read twice is said to be wrong twice.
    const said = new Set<string>();
    return (this.problem?.errors ?? []).filter((place) => {
      const key = JSON.stringify(place);
      return !said.has(key) && said.add(key);
    });
  }

  /** Without the pen only what comes from the file is taken. */
  private make(edit: Edit, fromFile = false): void {
    if (!this.mayEdit && !fromFile) return;
    this.history.add(edit, this.text);
    this.apply(edit);
  }

  private apply(edit: Edit): void {
    this.touched = performance.now();
    shifted(this.fields, edit.at, edit.before.length, edit.after.length);
    this.put(applied(this.text, edit), true);
    this.keepOrForget();
    this.events.state();
  }

  private put(text: string, edited: boolean): void {
    this.text = text;
    this.events.text(edited);
  }

  private keepOrForget(): void {
    // What is kept belongs to the tab with the pen.
    if (!this.hasPen) return;
    if (this.isDirty) this.isKept = keep(this.model, { text: this.text, tag: this.tag, when: Date.now() });
    else forget(this.model);
  }
}

/** What stood behind the value of a line that was taken away: its end. */
function tailOf(line: string): string {
  return /\r?\n$/.exec(line)?.[0] ?? '';
}
