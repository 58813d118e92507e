// The desk: where the model file is edited, as a form and as text, and from where it is saved.

import { Refusal, type PlateList } from './api';
import type { BodyView } from './body-view';
import { ChangesList } from './changes-list';
import { DimensionForm } from './dimension-form';
import { byId } from './dom';
import { fetchText, saveText } from './draft-api';
import { whenForgotten } from './draft-name';
import { isFirstVisit, noteVisit } from './first-visit';
import { ModelText } from './model-text';
import { Notices, type Notice } from './notices';
import type { Office } from './office';
import { Pen } from './pen';
import { Rebuild } from './rebuild';
import { WorkingCopy } from './working-copy';

export class EditDesk {
  private readonly copy: WorkingCopy;
  private readonly rebuild: Rebuild;
  private readonly pen: Pen;
  private readonly form: DimensionForm;
  private readonly text: ModelText;
  private readonly changes: ChangesList;
  private readonly notices = new Notices(byId('notices'), (act) => this.act(act));
  private offline = false;
  /** The file has another text than the one that was read last. */
  private differs = false;

  constructor(
    private readonly office: Office,
    body: BodyView | null,
    private readonly openDrawer: (id: string) => void,
  ) {
    this.copy = new WorkingCopy({ text: (edited) => this.onText(edited), state: () => this.show() });
    this.form = new DimensionForm(byId('dimension-form'), (field, value) => this.copy.setField(field, value));
    this.text = new ModelText(byId('model-text'), (text) => this.copy.edit(text, 'text'));
    this.changes = new ChangesList(byId('changes'), (plate) => void office.pick(plate));
    this.pen = new Pen({ held: (has) => this.onPen(has) });
    this.rebuild = new Rebuild(this.copy, body, {
      reading: () => office.reading,
      rebuilt: (draft) => {
        this.offline = false;
        if (draft.problem) office.editFails(draft.problem);
        else office.bodyFollows();
        this.show();
      },
      rested: (draft) => void this.rested(draft.draft),
      lost: (reason) => this.onLost(reason),
    });
    whenForgotten(() => this.rebuild.again());
    office.desk = this;
    for (const button of document.querySelectorAll<HTMLButtonElement>('[data-desk]')) {
      button.addEventListener('click', () => this.act(button.dataset.desk ?? ''));
    }
    document.addEventListener('keydown', (event) => this.key(event));
  }

  /** The sheet was filled from the server: from the file, or from the draft of that name. */
  async opened(list: PlateList, drafted: string): Promise<void> {
    this.offline = false;
    this.rebuild.forget(drafted);
    void this.pen.take(list.model);
    const clean = !this.copy.isDirty || this.copy.model !== list.model;
    if (clean) await this.readFile(list.model);
    await this.rebuild.send(false);
  }

  /** A model could not be opened: its text can still be mended here. */
  async broken(model: string): Promise<void> {
    void this.pen.take(model);
    if (this.copy.model === model && this.copy.isDirty) return;
    await this.readFile(model);
    await this.rebuild.send(false);
  }

  /** A file changed on disk. True if the sheet has it already, or if an edit stands in its way: it keeps what it shows. */
  async fileChanged(model: string): Promise<boolean> {
    const { copy } = this;
    if (model !== copy.model) return false;
    const tag = copy.tag;
    await this.compareWithFile(model);
    return copy.isDirty || copy.tag !== tag || !this.differs;
  }

  /** Another body than that of the text was set on the sheet. */
  bodyReplaced(): void {
    this.rebuild.forget('another body');
  }

  lost(): void {
    this.offline = true;
    this.show();
  }

  /** The server is there again. True if the desk brings the sheet up to date itself. */
  async resumed(): Promise<boolean> {
    this.offline = false;
    const { copy } = this;
    if (!copy.isDirty) {
      this.show();
      return false;
    }
    await this.compareWithFile(copy.model);
    await this.rebuild.send(false);
    this.show();
    return true;
  }

  private async readFile(model: string): Promise<void> {
    try {
      const { text, tag } = await fetchText(model);
      this.copy.open(model, text, tag);
    } catch (reason) {
      this.onLost(reason);
    }
  }

  /** After a change on disk: it may be the save of this very text, or one that gave the file its old text back. */
  private async compareWithFile(model: string): Promise<void> {
    try {
      const { text, tag } = await fetchText(model);
      if (model !== this.copy.model) return;
      this.differs = tag !== this.copy.tag;
      if (text === this.copy.text) this.copy.savedAs(text, tag);
      else if (this.differs && this.copy.isDirty) this.copy.setChangedOnDisk();
    } catch (reason) {
      this.onLost(reason);
    }
  }

  private onText(edited: boolean): void {
    if (edited) void this.rebuild.send(true);
  }

  private onPen(has: boolean): void {
    this.copy.setPen(has);
  }

  private async rested(draft: string): Promise<void> {
    await this.office.relist();
    await this.changes.follow(this.office.reading, this.copy.isDirty && !this.copy.problem ? draft : '');
  }

  private onLost(reason: unknown): void {
    if (!(reason instanceof Refusal)) throw reason;
    if (reason.problem.status === 0) this.lost();
    else this.office.outOfDate(reason.problem);
  }

  private act(name: string): void {
    const { copy } = this;
    const acts: Record<string, () => void> = {
      save: () => void this.save(),
      undo: () => copy.undo(),
      redo: () => copy.redo(),
      'take-file': () => void this.readFile(copy.model),
      'take-offered': () => copy.takeOffered(),
      'drop-offered': () => copy.dropOffered(),
      seize: () => void this.pen.seize(),
      'throw-away': () => copy.edit(copy.saved, ''),
      try: () => {
        this.openDrawer('dimensions');
        this.form.goTo('boiler.pitch');
      },
      visited: () => {
        noteVisit();
        this.show();
      },
    };
    acts[name]?.();
  }

  private async save(): Promise<void> {
    const { copy } = this;
    if (!copy.isDirty || !copy.mayEdit) return;
    if (copy.changedOnDisk) {
      this.office.say('Not saved: the file has changed on disk since this edit began. Read it first.');
      return;
    }
    const { text } = copy;
    try {
      const tag = await saveText(copy.model, text, copy.tag);
      copy.savedAs(text, tag);
      if (copy.isDirty) void this.rebuild.send(true);
      else await this.changes.follow(this.office.reading, '');
      this.office.say(`Saved to ${copy.model}.toml, ${new Date().toLocaleTimeString('en-GB')}.`);
    } catch (reason) {
      if (!(reason instanceof Refusal)) throw reason;
      const { problem } = reason;
      if (problem.status === 412) copy.setChangedOnDisk();
      else if (problem.status === 0) this.lost();
      else copy.answered([], problem);
      this.office.say(`Not saved: ${problem.errors?.[0]?.message ?? problem.detail ?? problem.title}.`);
    }
  }

  private key(event: KeyboardEvent): void {
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
    const key = event.key.toLowerCase();
    const name = key === 's' ? 'save' : key === 'y' || (key === 'z' && event.shiftKey) ? 'redo' : key === 'z' ? 'undo' : '';
    if (!name) return;
    event.preventDefault();
    this.act(name);
  }

  private show(): void {
    const { copy } = this;
    this.form.follow(copy);
    this.text.follow(copy);
    const set = (name: string, on: boolean): void => {
      for (const button of document.querySelectorAll<HTMLButtonElement>(`[data-desk="${name}"]`)) button.disabled = !on;
    };
    set('save', copy.isDirty && copy.mayEdit);
    set('undo', copy.canUndo && copy.mayEdit);
    set('redo', copy.canRedo && copy.mayEdit);
    set('throw-away', copy.isDirty && copy.mayEdit);
    for (const line of document.querySelectorAll('.desk-state')) line.textContent = this.stateWords();
    document.documentElement.dataset.edit = copy.isDirty ? 'unsaved' : 'saved';
    this.notices.show(this.noticesNow());
  }

  private stateWords(): string {
    const { copy } = this;
    if (copy.model === '') return '';
    if (!copy.isDirty) return `As in ${copy.model}.toml`;
    return copy.isKept ? 'Not saved; kept in this browser' : 'Not saved, and not kept: the browser’s storage is full';
  }

  private noticesNow(): Notice[] {
    const { copy, offline } = this;
    const notices: Notice[] = [];
    if (isFirstVisit() && copy.model !== '') {
      const text = 'The engine above, the picked plate’s flat below it. Change a dimension and both follow: as an example, pitch the boiler three inches higher.';
      notices.push({ id: 'first', text, actions: [['try', 'Show me where'], ['visited', 'Close']] });
    }
    if (offline) {
      const edit = copy.isDirty ? ' Your edit is kept, and can go on.' : '';
      notices.push({ id: 'offline', text: `The server does not answer. This page waits for it.${edit}`, actions: [] });
    }
    if (!copy.hasPen && copy.model !== '') {
      const text = 'This model is being edited in another tab. Here it can be looked at.';
      notices.push({ id: 'no-pen', text, actions: [['seize', 'Edit here instead']] });
    }
    if (copy.changedOnDisk) {
      const text = `${copy.model}.toml has changed on disk since this edit began. It is not overwritten.`;
      notices.push({ id: 'changed', text, actions: [['take-file', 'Read the file; undo brings this edit back']] });
    }
    if (copy.offered && copy.hasPen) {
      const when = new Date(copy.offered.when).toLocaleString('en-GB', { dateStyle: 'medium', timeStyle: 'short' });
      const text = `An edit of ${when} was not saved and is kept in this browser.`;
      notices.push({ id: 'offered', text, actions: [['take-offered', 'Go on with it'], ['drop-offered', 'Throw it away']] });
    }
    return notices;
  }
}
