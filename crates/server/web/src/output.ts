// Every file of a build, for the engine or for the picked plate: what it gives, how large it is, and the file itself.

import { ask, model, query, Refusal, type Reading } from './api';
import { byId, html } from './dom';
import { LongWork, readAll } from './long-work';

interface BuildFile {
  file: string;
  says: string;
  plate: string | null;
  bytes: number | null;
}

interface BuildGroup {
  group: string;
  title: string;
  /** Not known before the group is worked out. */
  files: BuildFile[] | null;
}

export interface OutputEvents {
  reading(): Reading;
  /** Id and name of the picked plate; empty if none is picked. */
  picked(): { id: string; title: string };
  say(text: string): void;
}

export class Output {
  private readonly plateOnly = html('input', { type: 'checkbox', id: 'plate-only' });
  private readonly plateName = html('span', {}, 'of the picked plate only');
  private readonly all = html('button', { type: 'button', id: 'make-all' }, 'Make all, to know their sizes');
  private readonly list = html('div', { class: 'outputs scroll', tabindex: '0', role: 'region', 'aria-label': 'Files to make' });
  private readonly work: LongWork;
  private groups: BuildGroup[] = [];
  private asking: AbortController | null = null;

  constructor(
    host: HTMLElement,
    private readonly events: OutputEvents,
  ) {
    const progress = html('div', { id: 'output-work' });
    host.append(
      html('div', { class: 'desk-bar' }, html('label', {}, this.plateOnly, ' ', this.plateName), this.all),
      progress,
      this.list,
    );
    this.work = new LongWork(progress);
    this.plateOnly.addEventListener('change', () => this.show());
    this.all.addEventListener('click', () => void this.makeAll());
    window.addEventListener('drawer', () => {
      if (this.isOpen) void this.refresh();
    });
  }

  private get isOpen(): boolean {
    return byId('column').dataset.open === 'output';
  }

  /** The model, its reading or the picked plate is another. */
  follow(): void {
    if (this.isOpen) void this.refresh();
  }

  private async refresh(): Promise<void> {
    this.asking?.abort();
    const asking = new AbortController();
    this.asking = asking;
    try {
      const found = await this.fetchGroups('', asking.signal);
      if (asking.signal.aborted) return;
      this.groups = found;
      this.show();
    } catch (reason) {
      if (!asking.signal.aborted) this.refused(reason);
    }
  }

  private async fetchGroups(group: string, signal: AbortSignal): Promise<BuildGroup[]> {
    const reading = this.events.reading();
    const words = query(reading);
    const own = group ? `${words ? `${words}&` : '?'}group=${group}` : words;
    return ((await (await ask(`${model(reading.model)}/build${own}`, signal)).json()) as { groups: BuildGroup[] }).groups;
  }

  private address(group: string, file: string): string {
    const reading = this.events.reading();
    return `${model(reading.model)}/build/${group}/${encodeURIComponent(file)}${query(reading)}`;
  }

  private show(): void {
    const { id, title } = this.events.picked();
    this.plateName.textContent = id ? `of ${title} only` : 'of the picked plate only';
    this.plateOnly.disabled = id === '';
    const only = this.plateOnly.checked && id !== '' ? id : '';
    const open = new Set([...this.list.querySelectorAll<HTMLDetailsElement>('details[open]')].map((own) => own.dataset.group));
    const first = this.list.childElementCount === 0;
    this.list.replaceChildren(
      ...this.groups.flatMap((group) => {
        const files = group.files?.filter((file) => only === '' || file.plate === only) ?? null;
        if (only !== '' && (files === null || files.length === 0)) return [];
        const isOpen = only !== '' || (first ? group.group === 'body' : open.has(group.group));
        const details = html('details', { 'data-group': group.group, open: isOpen });
        details.append(html('summary', {}, group.title, ' ', html('span', { class: 'quiet' }, files ? String(files.length) : '')));
        details.append(files ? html('ul', {}, ...files.map((file) => this.row(group.group, file))) : this.workOut(group));
        return [details];
      }),
    );
  }

  private row(group: string, file: BuildFile): HTMLLIElement {
    const link = html('a', { href: this.address(group, file.file), download: file.file, 'data-file': `${group}/${file.file}` }, file.file);
    link.addEventListener('click', (event) => {
      event.preventDefault();
      void this.save(group, file);
    });
    const printed = file.file.endsWith('.pdf');
    const open = printed ? html('a', { href: this.address(group, file.file), target: '_blank', rel: 'noopener' }, 'open to print') : null;
    return html('li', {}, link, html('span', { class: 'size' }, file.bytes === null ? '' : sizeWords(file.bytes)), html('span', { class: 'says' }, file.says, open ? ' · ' : '', open));
  }

  private workOut(group: BuildGroup): HTMLElement {
    const button = html('button', { type: 'button', 'data-work-out': group.group }, 'Work out, and list the files');
    button.addEventListener('click', () => void this.listGroup(group));
    return html('p', {}, button);
  }

  private async listGroup(group: BuildGroup): Promise<void> {
    try {
      await this.work.run(`${group.title}: being worked out`, async (signal) => {
        const [found] = await this.fetchGroups(group.group, signal);
        group.files = found?.files ?? [];
      });
      this.show();
    } catch (reason) {
      this.refused(reason);
    }
  }

  private async save(group: string, file: BuildFile): Promise<void> {
    try {
      const done = await this.work.run(`${file.file}: being made`, async (signal, tell) => {
        const answer = await ask(this.address(group, file.file), signal);
        const blob = await readAll(answer, (bytes, of) => tell(of ? bytes / of : null, `${file.file}: ${sizeWords(bytes)}`));
        file.bytes = blob.size;
        const link = html('a', { href: URL.createObjectURL(blob), download: `${this.events.reading().model}-${file.file}` });
        link.click();
        // The browser has taken the address over by then.
        setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
      });
      this.events.say(done ? `${file.file} made: ${sizeWords(file.bytes ?? 0)}.` : `${file.file} called off.`);
      this.show();
    } catch (reason) {
      this.refused(reason);
    }
  }

  /** Makes what is listed and shown, so that it is ready and its size is known. */
  private async makeAll(): Promise<void> {
    const { id } = this.events.picked();
    const only = this.plateOnly.checked ? id : '';
    const files = this.groups.flatMap((group) =>
      (group.files ?? []).filter((file) => file.bytes === null && (only === '' || file.plate === only)).map((file) => ({ group: group.group, file })),
    );
    let made = 0;
    try {
      const done = await this.work.run('Making the files', async (signal, tell) => {
        for (const { group, file } of files) {
          tell(made / files.length, `${made} of ${files.length} made; ${file.file}`);
          try {
            const answer = await ask(this.address(group, file.file), { method: 'HEAD', signal });
            file.bytes = Number(answer.headers.get('Content-Length')) || null;
          } catch (reason) {
            if (!(reason instanceof Refusal) || reason.problem.status !== 422) throw reason;
            file.says = `${file.says}: cannot be made`;
          }
          made += 1;
        }
      });
      this.events.say(`${made} of ${files.length} files made${done ? '' : '; the rest called off'}.`);
    } catch (reason) {
      this.refused(reason);
    }
    this.show();
  }

  private refused(reason: unknown): void {
    if (!(reason instanceof Refusal)) throw reason;
    this.events.say(`Not made: ${reason.problem.detail ?? reason.problem.title}`);
  }
}

/** "41 kB": bytes to two or three figures, in thousands as file managers count. */
export function sizeWords(bytes: number): string {
  if (bytes < 1000) return `${bytes} B`;
  if (bytes < 1e6) return `${(bytes / 1e3).toFixed(bytes < 1e4 ? 1 : 0)} kB`;
  return `${(bytes / 1e6).toFixed(1)} MB`;
}
