// The drawing office: holds what is shown, asks the server for it, and keeps body, flat and lists of one mind.

import { readAddress, writeAddress, type Shown } from './address';
import * as api from './api';
import { readBody, type Body } from './body';
import type { BodyView } from './body-view';
import { byId, mm, words } from './dom';
import { draftOf } from './draft-name';
import { listen } from './events';
import { countWords } from './findings';
import { FlatView } from './flat-view';
import { PartsList, type ListedAssembly } from './parts-list';
import { fillPlateTable } from './plate-table';
import { hideProblem, problemLine, showProblem } from './problem';
import { Sheet } from './sheet';
import type { ViewName } from './standard-views';
import { TitleBlock } from './title-block';
import { Views } from './views';

const page = document.documentElement.dataset;

/** Who edits the model file, and is told what the sheet shows. */
export interface FileDesk {
  opened(list: api.PlateList, drafted: string): Promise<void>;
  broken(model: string): Promise<void>;
  fileChanged(model: string): Promise<boolean>;
  bodyReplaced(): void;
  lost(): void;
  resumed(): Promise<boolean>;
}

export class Office {
  private shown: Shown = readAddress(location.hash);
  private models: api.ModelEntry[] = [];
  private list: api.PlateList | null = null;
  private flat: api.Flat | null = null;
  private findings: api.Finding[] = [];
  /** The model that the sheet was last filled with. */
  private opened = '';
  /** What was said of it last. */
  private told = '';
  desk: FileDesk | null = null;
  /** Told when the sheet was filled anew, or another plate is picked. */
  follow: () => void = () => undefined;
  private loading: AbortController | null = null;
  private picking: AbortController | null = null;
  private readonly problem = byId('problem');
  private readonly parts = new PartsList(byId('parts'), (id) => void this.pick(id));
  private readonly title: TitleBlock;
  private readonly sheet: Sheet;
  readonly views: Views;

  constructor(private readonly body: BodyView | null, private readonly flatView: FlatView) {
    if (this.shown.view !== 'turned') body?.setView(this.shown.view);
    this.sheet = new Sheet(body, flatView, () => this.moved());
    this.views = new Views(body, flatView, {
      reading: () => ({ ...this.shown }),
      nameOf: (id) => this.nameOf(id),
      pick: (id) => this.pick(id),
      say: (text) => this.say(text),
      mmPerFoot: () => this.list?.mm_per_foot ?? 1,
    });
    this.title = new TitleBlock({
      model: (name) => this.reread({ model: name, scale: '', wheels: '', variant: '', plate: '' }, true),
      scale: (scale) => this.reread({ scale }, true),
      wheels: (wheels) => this.reread({ wheels }, false),
      variant: (variant) => this.reread({ variant }, false),
      drawingScale: (ratio) => flatView.setRatio(ratio),
    });
    byId<HTMLInputElement>('rivets').addEventListener('change', (event) =>
      this.reread({ rivets: (event.target as HTMLInputElement).checked }, false),
    );
    window.addEventListener('hashchange', () => this.followAddress());
  }

  async start(): Promise<void> {
    try {
      this.models = await api.fetchModels();
    } catch (reason) {
      this.fail(reason);
      return;
    }
    const known = this.models.some((entry) => entry.name === this.shown.model);
    this.shown.model = known ? this.shown.model : (this.models[0]?.name ?? '');
    this.title.setModels(this.models, this.shown.model);
    if (!this.shown.model) {
      this.fail(new api.Refusal({ title: 'No model file', detail: 'The folder that is served holds no model file.' }));
      return;
    }
    listen({
      rebuilt: (model) => void this.onRebuilt(model),
      failed: (model, problem) => void this.onFailed(model, problem),
      lost: () => this.desk?.lost(),
      resumed: () => void this.resumed(),
    });
    this.sheet.setView(this.shown.view);
    const problem = this.models.find((entry) => entry.name === this.shown.model)?.problem;
    if (problem) {
      this.outOfDate(problem);
      await this.desk?.broken(this.shown.model);
    } else await this.load(true, 'Drawn');
  }

  setView(view: ViewName): void {
    this.body?.setView(view);
    this.moved();
  }

  /** Picks a plate or fitting; an empty id picks none. */
  async pick(id: string): Promise<void> {
    this.shown.plate = id;
    writeAddress(this.shown);
    this.parts.select(id);
    this.body?.pick(id);
    await this.loadFlat();
    this.say(this.pickedWords());
  }

  say(text: string): void {
    byId('status').textContent = text;
  }

  nameOf(id: string): string {
    return this.list?.plates.find((plate) => plate.id === id)?.title ?? capital(words(id));
  }

  /** How the model is read. */
  get reading(): api.Reading {
    return { ...this.shown };
  }

  /** The flat that is set out. */
  get flatShown(): api.Flat | null {
    return this.flat;
  }

  /** All models of the folder. */
  get allModels(): api.ModelEntry[] {
    return this.models;
  }

  /** Id and name of what is picked; empty if nothing is. */
  get picked(): { id: string; title: string } {
    const id = this.shown.plate;
    return { id, title: id ? this.nameOf(id) : '' };
  }

  /** Something else stands in place of the body until it is brought back by nothing. */
  async showInstead(body: Body | null): Promise<void> {
    if (body) {
      this.body?.setBody(body, false);
      this.desk?.bodyReplaced();
    } else await this.load(false, 'Drawn');
  }

  /** Lists, findings and flat anew; the body is brought along by whoever asks. */
  async relist(): Promise<void> {
    await this.load(false, 'Drawn', false);
  }

  /** The body stands as the edited text says. */
  bodyFollows(): void {
    hideProblem(this.problem);
    this.sheet.outOfDate(false);
    delete page.error;
  }

  private async resumed(): Promise<void> {
    if (!(await this.desk?.resumed())) await this.load(false, 'The server is back');
  }

  private plate(): api.Plate | null {
    return this.list?.plates.find((plate) => plate.id === this.shown.plate) ?? null;
  }

  private moved(): void {
    const view = this.body?.currentView ?? this.shown.view;
    if (view === this.shown.view) return;
    this.shown.view = view;
    this.sheet.setView(view);
    writeAddress(this.shown);
  }

  private reread(change: Partial<Shown>, reframe: boolean): void {
    Object.assign(this.shown, change);
    writeAddress(this.shown);
    void this.load(reframe, 'Drawn');
  }

  private followAddress(): void {
    const wanted = readAddress(location.hash);
    const before = this.shown;
    this.shown = { ...wanted, model: wanted.model || before.model };
    if (wanted.view !== 'turned' && wanted.view !== before.view) this.body?.setView(wanted.view);
    this.sheet.setView(this.shown.view);
    void this.load(false, 'Drawn');
  }

  private async onRebuilt(model: string): Promise<void> {
    if (model !== this.shown.model || (await this.desk?.fileChanged(model))) return;
    await this.load(false, 'The model file changed and was built again');
  }

  private async onFailed(model: string, problem: api.Problem): Promise<void> {
    if (model !== this.shown.model || (await this.desk?.fileChanged(model))) return;
    this.outOfDate(problem);
    await this.desk?.broken(model);
  }

  private async load(reframe: boolean, done: string, withBody = true): Promise<void> {
    this.loading?.abort();
    const loading = new AbortController();
    this.loading = loading;
    const reading = this.reading;
    const drafted = draftOf(reading.model);
    this.sheet.busy(true);
    try {
      // One after the other: a broken file is then refused once, not three times.
      const list = await api.fetchPlates(reading, loading.signal);
      const [bytes, findings] = await Promise.all([
        this.body && withBody ? api.fetchBody(reading, loading.signal) : null,
        api.fetchFindings(reading, loading.signal),
      ]);
      const body = bytes ? await readBody(bytes) : null;
      if (loading.signal.aborted) {
        body?.dispose();
        return;
      }
      this.list = list;
      this.findings = findings;
      if (body) this.body?.setBody(body, reframe);
      await this.refresh();
      if (loading.signal.aborted) return;
      this.upToDate(done);
      if (withBody) void this.desk?.opened(list, drafted);
    } catch (reason) {
      if (!loading.signal.aborted) this.fail(reason);
    } finally {
      if (this.loading === loading) this.sheet.busy(false);
    }
  }

  private async refresh(): Promise<void> {
    if (!this.list) return;
    this.title.setModels(this.models, this.list.model);
    this.title.setList(this.list);
    byId<HTMLInputElement>('rivets').checked = this.shown.rivets;
    const listed = this.listed();
    if (!listed.some((assembly) => assembly.parts.some((part) => part.id === this.shown.plate))) {
      // A sheet that is opened shows something set out: the largest plate that has to be formed.
      const formed = this.list.plates.filter((plate) => plate.formed === 'rolled').sort((a, b) => b.flat_area_mm2 - a.flat_area_mm2);
      const first = formed[0] ?? this.list.plates[0];
      this.shown.plate = this.opened === this.list.model ? '' : (first?.id ?? '');
    }
    this.opened = this.list.model;
    this.parts.fill(listed);
    byId('findings-count').textContent = countWords(this.findings);
    this.views.opened(this.findings);
    this.parts.select(this.shown.plate);
    this.body?.pick(this.shown.plate);
    writeAddress(this.shown);
    await this.loadFlat();
  }

  /** The plates as the server lists them, with the fittings of each sub-assembly that only the body knows. */
  private listed(): ListedAssembly[] {
    const list = this.list;
    if (!list) return [];
    const plates = new Map(list.plates.map((plate) => [plate.id, plate]));
    const findingsOf = (id: string): number => this.findings.filter((finding) => finding.at?.plate === id).length;
    const assemblies: ListedAssembly[] = list.assemblies.map((assembly) => ({
      id: assembly.id,
      title: assembly.title,
      parts: assembly.plates.map((id) => ({
        id,
        title: plates.get(id)?.title ?? capital(words(id)),
        thickness_mm: plates.get(id)?.thickness_mm ?? null,
        findings: findingsOf(id),
      })),
    }));
    for (const part of this.body?.parts() ?? []) {
      if (plates.has(part.id)) continue;
      let assembly = assemblies.find((known) => known.id === part.assembly);
      if (!assembly) {
        assembly = { id: part.assembly, title: capital(words(part.assembly)), parts: [] };
        assemblies.push(assembly);
      }
      assembly.parts.push({ id: part.id, title: capital(words(part.id)), thickness_mm: null, findings: findingsOf(part.id) });
    }
    return assemblies;
  }

  private async loadFlat(): Promise<void> {
    this.picking?.abort();
    const picking = new AbortController();
    this.picking = picking;
    const plate = this.plate();
    let flat: api.Flat | null = null;
    try {
      if (plate) flat = await api.fetchFlat({ ...this.shown }, plate.id, picking.signal);
    } catch (reason) {
      if (picking.signal.aborted) return;
      this.fail(reason);
    }
    if (picking.signal.aborted) return;
    this.flat = flat;
    const title = this.shown.plate ? this.nameOf(this.shown.plate) : '';
    this.sheet.setPlate(plate, title, flat !== null);
    this.flatView.show(flat, title);
    this.title.setPicked(plate, title);
    this.title.setDrawn(flat ? this.flatView.drawnRatio : null);
    this.views.plateShown(this.shown.plate, plate);
    this.sheet.line();
    byId('plate-heading').textContent = title;
    if (plate) fillPlateTable(byId('plate-table'), plate, flat, this.flatView.size());
    this.follow();
  }

  /** The flat was laid out anew: the stated scale follows. */
  drawn(): void {
    this.title?.setDrawn(this.flat ? this.flatView.drawnRatio : null);
    this.sheet?.line();
    this.views?.moved();
  }

  private pickedWords(): string {
    if (!this.shown.plate) return 'Nothing picked.';
    const name = this.nameOf(this.shown.plate);
    const plate = this.plate();
    if (!plate) return `${name} picked: a fitting, no flat.`;
    const size = this.flatView.size();
    const flat = size && this.flat ? `; flat ${mm(size.length)} by ${mm(size.width)} mm, drawn ${byId('drawn').textContent ?? ''}` : '';
    return `${name} picked: ${words(plate.metal)}, ${mm(plate.thickness_mm)} mm thick${flat}.`;
  }

  private upToDate(done: string): void {
    hideProblem(this.problem);
    this.sheet.outOfDate(false);
    delete page.error;
    page.ready = 'true';
    page.revision = String(Number(page.revision ?? '0') + 1);
    const found = `${this.list?.plates.length ?? 0} plates; findings: ${countWords(this.findings)}.`;
    // Lists that were read again and say the same need no word: it would wipe out what was said before.
    if (done === 'Drawn' && found === this.told) return;
    this.told = found;
    this.say(`${done}, ${new Date().toLocaleTimeString('en-GB')}: ${found}`);
  }

  /** An edit in hand cannot be built: it says so at its own place, and the sheet keeps its room. */
  editFails(problem: api.Problem): void {
    page.error = problemLine(problem);
    this.sheet.outOfDate(this.list !== null);
    this.say(problemLine(problem));
  }

  outOfDate(problem: api.Problem): void {
    this.loading?.abort();
    this.sheet.busy(false);
    page.error = problemLine(problem);
    showProblem(this.problem, problem);
    this.sheet.outOfDate(this.list !== null);
    this.say(this.list ? 'The model file cannot be built: the sheet shows the last good body and is out of date.' : 'The model file cannot be built.');
  }

  private fail(reason: unknown): void {
    if (reason instanceof api.Refusal) {
      this.outOfDate(reason.problem);
      return;
    }
    this.outOfDate({ title: 'The answer of the server could not be read', detail: String(reason) });
  }
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
