// Drawn artwork held against the body: the drawing is dropped here, laid over each flat, and built in 3D as drawn.

import { Refusal, type Finding, type Flat, type Reading } from './api';
import { checkDrawing, fetchAsDrawn, fetchReport, type Drawing, type PlateDrawn, type Report } from './artwork-api';
import { ArtworkOverlay, TIMES } from './artwork-overlay';
import { readBody, type Body } from './body';
import { html, mm } from './dom';
import { LongWork } from './long-work';
import type { Layout } from './outline';

export interface ArtworkEvents {
  reading(): Reading;
  nameOf(id: string): string;
  pick(id: string): Promise<void>;
  say(text: string): void;
  /** The engine as drawn in place of the body; nothing brings the body back. */
  showAsDrawn(body: Body | null): void;
  /** The flat is to be drawn again. */
  redraw(): void;
  open(): void;
}

/** What is drawn off by less is the drawing's own rounding (mm). */
const SOUND_MM = 0.02;

export class Artwork {
  private drawing: Drawing | null = null;
  private report: Report | null = null;
  private readonly overlay = new ArtworkOverlay();
  private readonly file = html('input', { type: 'file', id: 'artwork-file', accept: '.dxf,.svg,.toml', multiple: true });
  private readonly drop: HTMLElement;
  private readonly found = html('div', { class: 'artwork-found scroll', tabindex: '0', role: 'region', 'aria-label': 'What the drawing makes' });
  private readonly work: LongWork;
  private readonly asDrawn = html('input', { type: 'checkbox', id: 'as-drawn', disabled: true });
  private readonly times = html('select', { id: 'artwork-times', disabled: true }, ...TIMES.map((n) => html('option', { value: n }, n === 1 ? 'as it is' : `${n} times`)));
  private readonly print = html('button', { type: 'button', id: 'artwork-report', disabled: true }, 'Report, to print');
  private readonly away = html('button', { type: 'button', id: 'artwork-away', disabled: true }, 'Put away');

  constructor(
    host: HTMLElement,
    private readonly events: ArtworkEvents,
  ) {
    this.drop = html(
      'div',
      { class: 'drop', id: 'artwork-drop' },
      html('label', { for: 'artwork-file' }, 'Drop a drawing here (DXF or SVG; a DXF anywhere on the sheet), or choose one'),
      this.file,
      html('p', { class: 'quiet' }, 'It is held against the body on this machine and kept nowhere. Its side file (.toml) may come with it.'),
    );
    const progress = html('div', { id: 'artwork-work' });
    const tools = html(
      'div',
      { class: 'desk-bar' },
      html('label', { for: 'artwork-times' }, 'Deviation drawn ', this.times),
      html('label', {}, this.asDrawn, ' the engine as drawn'),
      this.print,
      this.away,
    );
    host.append(this.drop, progress, tools, legend(), this.found);
    this.times.value = '10';
    this.work = new LongWork(progress);
    this.listen();
  }

  /** Lays the drawing over a flat that was just drawn. */
  flatDrawn(content: SVGGElement, flat: Flat | null, layout: Layout, quarterTurns: number): void {
    const drawn = flat ? this.drawnOf(flat.plate) : null;
    if (flat && drawn) content.append(this.overlay.draw(flat, drawn, layout, quarterTurns, Number(this.times.value)));
  }

  private drawnOf(plate: string): PlateDrawn | null {
    const all = this.report?.per_plate.filter((own) => own.plate === plate) ?? [];
    return all.sort((a, b) => b.worst_deviation_mm - a.worst_deviation_mm)[0] ?? null;
  }

  private listen(): void {
    this.file.addEventListener('change', () => void this.take([...(this.file.files ?? [])]));
    for (const name of ['dragenter', 'dragover'] as const) {
      document.addEventListener(name, (event) => {
        if (!event.dataTransfer?.types.includes('Files')) return;
        event.preventDefault();
        this.drop.classList.add('over');
      });
    }
    document.addEventListener('dragleave', (event) => {
      if (event.relatedTarget === null) this.drop.classList.remove('over');
    });
    document.addEventListener('drop', (event) => {
      const files = [...(event.dataTransfer?.files ?? [])];
      this.drop.classList.remove('over');
      if (!files.some((file) => isDrawing(file.name))) return;
      event.preventDefault();
      this.events.open();
      void this.take(files);
    });
    this.times.addEventListener('change', () => this.events.redraw());
    this.asDrawn.addEventListener('change', () => void this.showAsDrawn());
    this.print.addEventListener('click', () => void this.savePrint());
    this.away.addEventListener('click', () => this.putAway());
  }

  private async take(files: File[]): Promise<void> {
    const file = files.find((own) => isDrawing(own.name));
    if (!file) {
      this.events.say('That is no drawing: a DXF or an SVG is wanted.');
      return;
    }
    const side = files.find((own) => own.name === `${file.name}.toml`);
    // Read at once: the file itself may change or go.
    this.drawing = { name: file.name, bytes: new Blob([await file.arrayBuffer()]), side: side ? await side.text() : null };
    this.file.value = '';
    await this.check();
  }

  /** Holds the drawing against the body anew: it is another body, or another drawing. */
  async check(): Promise<void> {
    const { drawing } = this;
    if (!drawing) return;
    const wasAsDrawn = this.asDrawn.checked;
    try {
      const done = await this.work.run(`${drawing.name}: being held against the body`, async (signal) => {
        this.report = await checkDrawing(this.events.reading(), drawing, signal);
      });
      if (!done || !this.report) return;
      this.show(this.report);
      const worst = this.report.test_build.faults[0]?.cause.at?.plate ?? this.report.per_plate[0]?.plate;
      if (worst) await this.events.pick(worst);
      this.events.redraw();
      this.events.say(`${drawing.name}: ${this.report.test_build.verdict}`);
      if (wasAsDrawn) await this.showAsDrawn();
    } catch (reason) {
      this.refused(reason);
    }
  }

  private show(report: Report): void {
    for (const control of [this.times, this.asDrawn, this.print, this.away]) control.disabled = false;
    const faults = report.test_build.faults;
    this.found.replaceChildren(
      html('h2', { class: 'verdict' }, report.test_build.verdict),
      html('ol', { class: 'faults' }, ...faults.map(({ cause, follows }) => html('li', {}, this.finding(cause), follows.length > 0 ? html('ul', {}, ...follows.map((own) => html('li', {}, own.sentence))) : null))),
      html('h3', {}, 'Drawn plates'),
      this.table(report.per_plate),
      report.not_drawn.length > 0 ? html('p', { class: 'quiet' }, `Not on the drawing: ${report.not_drawn.map((id) => this.events.nameOf(id)).join(', ')}.`) : '',
    );
  }

  private finding(finding: Finding): HTMLElement {
    const text = html('span', {}, html('strong', {}, finding.severity), ` ${finding.sentence}`);
    const plate = finding.at?.plate;
    if (!plate) return text;
    const button = html('button', { type: 'button', class: 'plain' }, text);
    button.addEventListener('click', () => void this.events.pick(plate));
    return button;
  }

  private table(plates: PlateDrawn[]): HTMLElement {
    const sorted = [...plates].sort((a, b) => b.worst_deviation_mm - a.worst_deviation_mm);
    const head = html('thead', {}, html('tr', {}, ...['Plate', 'outline off', 'openings off'].map((word) => html('th', { scope: 'col' }, word))));
    const rows = sorted.map((own) => {
      const button = html('button', { type: 'button', class: 'plain', 'data-drawn': own.plate }, this.events.nameOf(own.plate));
      button.addEventListener('click', () => void this.events.pick(own.plate));
      const holes = Math.max(0, ...own.holes.map((hole) => hole.off_mm));
      const figure = (off: number): HTMLElement => html('td', off > SOUND_MM ? { class: 'off' } : {}, mm(off));
      return html('tr', {}, html('th', { scope: 'row' }, button), figure(own.worst_deviation_mm), figure(holes));
    });
    return html('table', {}, html('caption', {}, 'Greatest deviations, mm'), head, html('tbody', {}, ...rows));
  }

  private async showAsDrawn(): Promise<void> {
    const { drawing } = this;
    if (!this.asDrawn.checked || !drawing) {
      this.events.showAsDrawn(null);
      return;
    }
    try {
      const done = await this.work.run('The engine as drawn: being built', async (signal) => {
        this.events.showAsDrawn(await readBody(await fetchAsDrawn(this.events.reading(), drawing, signal)));
      });
      if (!done) this.asDrawn.checked = false;
    } catch (reason) {
      this.asDrawn.checked = false;
      this.refused(reason);
    }
  }

  private async savePrint(): Promise<void> {
    const { drawing } = this;
    if (!drawing) return;
    try {
      await this.work.run('The report: being written', async (signal) => {
        const address = URL.createObjectURL(await fetchReport(this.events.reading(), drawing, signal));
        html('a', { href: address, download: `${drawing.name}-report.html` }).click();
        setTimeout(() => URL.revokeObjectURL(address), 10_000);
      });
    } catch (reason) {
      this.refused(reason);
    }
  }

  private putAway(): void {
    this.drawing = null;
    this.report = null;
    this.found.replaceChildren();
    for (const control of [this.times, this.asDrawn, this.print, this.away]) control.disabled = true;
    if (this.asDrawn.checked) this.events.showAsDrawn(null);
    this.asDrawn.checked = false;
    this.events.redraw();
  }

  private refused(reason: unknown): void {
    if (!(reason instanceof Refusal)) throw reason;
    const { problem } = reason;
    this.found.replaceChildren(html('p', { class: 'fault' }, `${problem.title}: ${problem.errors?.[0]?.message ?? problem.detail ?? ''}`));
    this.events.say(`${this.drawing?.name ?? 'The drawing'} could not be checked: ${problem.detail ?? problem.title}`);
  }
}

const isDrawing = (name: string): boolean => /\.(dxf|svg)$/i.test(name);

/** What the colours of the engine as drawn say. */
function legend(): HTMLElement {
  return html(
    'p',
    { class: 'artwork-legend' },
    html('span', { class: 'key-meant' }, 'meant'),
    html('span', { class: 'key-drawn' }, 'drawn'),
    html('span', { class: 'key-short' }, 'short by 0.3 mm'),
    html('span', { class: 'key-sound' }, 'within 0.02'),
    html('span', { class: 'key-beyond' }, 'beyond by 0.3'),
  );
}
