// Edits that are not saved yet, kept in the browser's own storage: they outlive a reload, a crash and the server.

export interface KeptEdit {
  text: string;
  /** Tag of the file's text that the edit began from. */
  tag: string;
  when: number;
}

const place = (model: string): string => `platework edit ${model}`;

export function keep(model: string, edit: KeptEdit): boolean {
  try {
    localStorage.setItem(place(model), JSON.stringify(edit));
    return true;
  } catch {
    // Full or forbidden: the edit stands in the page alone, which says so.
    return false;
  }
}

export function kept(model: string): KeptEdit | null {
  try {
    const edit = JSON.parse(localStorage.getItem(place(model)) ?? 'null') as Partial<KeptEdit> | null;
    if (typeof edit?.text !== 'string' || typeof edit.tag !== 'string') return null;
    return { text: edit.text, tag: edit.tag, when: Number(edit.when) || 0 };
  } catch {
    return null;
  }
}

export function forget(model: string): void {
  try {
    localStorage.removeItem(place(model));
  } catch {
    // Nothing was kept.
  }
}
