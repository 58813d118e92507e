// Edits of the text of a model file: pieces put in place of others, with a history.

/** At `at` the text `before` became `after`. */
export interface Edit {
  at: number;
  before: string;
  after: string;
  /** Edits of one hand at one place, each soon after the other, are undone together. */
  by: string;
  when: number;
}

/** Edits that follow within this time (ms) at the same place are one step. */
const ONE_STEP_MS = 900;

/** Steps that can be undone. */
const MOST_STEPS = 1000;

/** What turns one text into another, as one piece. */
export function difference(from: string, to: string): { at: number; before: string; after: string } {
  let head = 0;
  const most = Math.min(from.length, to.length);
  while (head < most && from.charCodeAt(head) === to.charCodeAt(head)) head += 1;
  let tail = 0;
  while (tail < most - head && from.charCodeAt(from.length - 1 - tail) === to.charCodeAt(to.length - 1 - tail)) tail += 1;
  return { at: head, before: from.slice(head, from.length - tail), after: to.slice(head, to.length - tail) };
}

export function applied(text: string, edit: { at: number; before: string; after: string }): string {
  return text.slice(0, edit.at) + edit.after + text.slice(edit.at + edit.before.length);
}

const inverse = (edit: Edit): Edit => ({ ...edit, before: edit.after, after: edit.before });

export class History {
  private done: Edit[] = [];
  private undone: Edit[] = [];

  get canUndo(): boolean {
    return this.done.length > 0;
  }

  get canRedo(): boolean {
    return this.undone.length > 0;
  }

  clear(): void {
    this.done = [];
    this.undone = [];
  }

  add(edit: Edit, textBefore: string): void {
    this.undone = [];
    const last = this.done[this.done.length - 1];
    if (last && last.by === edit.by && edit.by !== '' && edit.when - last.when < ONE_STEP_MS) {
      // Both as one: from the text before the first to the text after the second.
      const first = applied(textBefore, inverse(last));
      const piece = difference(first, applied(textBefore, edit));
      this.done[this.done.length - 1] = { ...edit, ...piece };
      return;
    }
    this.done.push(edit);
    if (this.done.length > MOST_STEPS) this.done.shift();
  }

  /** The edit that takes the last one back. */
  undo(): Edit | null {
    const edit = this.done.pop();
    if (!edit) return null;
    this.undone.push(edit);
    return inverse(edit);
  }

  redo(): Edit | null {
    const edit = this.undone.pop();
    if (!edit) return null;
    // An edit done again is a step of its own.
    this.done.push({ ...edit, when: 0 });
    return edit;
  }
}
