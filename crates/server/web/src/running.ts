// The engine, with its tender, on the curve: figures, plan, and the train itself moving along it.

import { ask, model, query, Refusal, type Finding, type ModelEntry, type Reading } from './api';
import type { BodyView } from './body-view';
import { html, mm, words } from './dom';
import { draftOf } from './draft-name';
import { LongWork } from './long-work';
import { readRun, type Run } from './run';

interface Approach {
  mover: string;
  part: string;
  distance_mm: number;
}

interface Vehicle {
  approaches: Approach[];
}

interface Clearances {
  course: string;
  radius_mm: number;
  compared: { title: string; unit: string; exact: number; second_order: number }[];
  engine: Vehicle;
  tender: Vehicle | null;
  coupled: { gap_mm: [number, number]; angle_deg: [number, number] } | null;
  findings: Finding[];
  least_radius_mm?: number | null;
}

export interface RunningEvents {
  reading(): Reading;
  models(): ModelEntry[];
  say(text: string): void;
  pick(plate: string): Promise<void>;
}

/** Nearest approaches that are listed. */
const MOST_APPROACHES = 8;

export class Running {
  private readonly radius = html('input', { type: 'number', id: 'run-radius', min: '1', step: 'any', placeholder: 'the least meant' });
  private readonly reverse = html('input', { type: 'checkbox', id: 'run-reverse' });
  private readonly between = html('input', { type: 'number', id: 'run-between', min: '0', step: 'any', value: '0', disabled: true });
  private readonly tender = html('select', { id: 'run-tender' });
  private readonly least = html('input', { type: 'checkbox', id: 'run-least' });
  private readonly lead = html('button', { type: 'button', id: 'run-lead' }, 'Lead it over the curve');
  private readonly inSpace = html('input', { type: 'checkbox', id: 'run-3d', disabled: true });
  private readonly along = html('input', { type: 'range', id: 'run-along', min: '0', max: '1', step: 'any', value: '0.5', disabled: true, 'aria-label': 'How far along the course' });
  private readonly found = html('div', { class: 'run-found scroll', tabindex: '0', role: 'region', 'aria-label': 'Clearances on the curve' });
  private readonly work: LongWork;
  private run: Run | null = null;
  private asked = '';

  constructor(
    host: HTMLElement,
    private readonly body: BodyView | null,
    private readonly events: RunningEvents,
  ) {
    const progress = html('div', { id: 'run-work' });
    host.append(
      html(
        'div',
        { class: 'run-form' },
        html('label', { for: 'run-radius' }, 'Radius, mm'),
        this.radius,
        html('label', { for: 'run-reverse' }, 'Reverse curve'),
        html('span', {}, this.reverse, html('label', { for: 'run-between' }, ' straight between, mm '), this.between),
        html('label', { for: 'run-tender' }, 'Tender'),
        this.tender,
        html('label', { for: 'run-least' }, 'Least radius'),
        html('span', {}, this.least, ' look for it'),
        this.lead,
      ),
      progress,
      html('div', { class: 'desk-bar' }, html('label', {}, this.inSpace, ' in 3D'), this.along),
      this.found,
    );
    this.work = new LongWork(progress);
    this.reverse.addEventListener('change', () => (this.between.disabled = !this.reverse.checked));
    this.lead.addEventListener('click', () => void this.go());
    for (const input of [this.radius, this.between]) {
      input.addEventListener('keydown', (event) => {
        if (event.key === 'Enter') void this.go();
      });
    }
    this.inSpace.addEventListener('change', () => void this.showRun());
    this.along.addEventListener('input', () => this.place());
  }

  /** Another model, or another reading of it: what was found holds no more. */
  follow(): void {
    const models = this.events.models();
    const { model: own } = this.events.reading();
    const key = `${own} ${draftOf(own)} ${models.map((entry) => entry.name).join(' ')}`;
    if (this.tender.dataset.of !== key) {
      this.tender.dataset.of = key;
      const others = models.filter((entry) => entry.name !== own && !entry.problem);
      this.tender.replaceChildren(html('option', { value: '' }, 'none'), ...others.map((entry) => html('option', { value: entry.name }, entry.title)));
      this.found.replaceChildren(html('p', { class: 'quiet' }, 'Throws, side play, and which wheel comes near what: leave the radius out for the least that the model is meant for.'));
      this.clear();
    }
  }

  private clear(): void {
    this.inSpace.checked = false;
    this.inSpace.disabled = true;
    this.along.disabled = true;
    if (this.run) this.body?.showStage(null);
    this.run?.dispose();
    this.run = null;
  }

  private words(least: boolean): string {
    const own = new URLSearchParams(query(this.events.reading()).slice(1));
    if (this.radius.value) own.set('radius', this.radius.value);
    if (this.reverse.checked) own.set('reverse', this.between.value || '0');
    if (this.tender.value) own.set('tender', this.tender.value);
    if (least && this.least.checked) own.set('least', 'on');
    return `?${own.toString()}`;
  }

  private address(file: string): string {
    return `${model(this.events.reading().model)}/clearances/${file}${this.asked}`;
  }

  private async go(): Promise<void> {
    this.clear();
    try {
      const done = await this.work.run('Being led over the curve', async (signal) => {
        const answer = await ask(`${model(this.events.reading().model)}/clearances${this.words(true)}`, signal);
        this.asked = this.words(false);
        this.show((await answer.json()) as Clearances);
      });
      if (!done) return;
      this.inSpace.disabled = this.body === null;
    } catch (reason) {
      this.refused(reason);
    }
  }

  private show(own: Clearances): void {
    const near = [...own.engine.approaches.map((approach) => ({ ...approach, of: 'engine' })), ...(own.tender?.approaches ?? []).map((approach) => ({ ...approach, of: 'tender' }))]
      .sort((a, b) => a.distance_mm - b.distance_mm)
      .slice(0, MOST_APPROACHES);
    const plan = html('img', { src: this.address('plan.svg'), alt: `The train on its course in plan, the nearest approach marked: ${near[0] ? nearWords(near[0]) : 'none'}`, id: 'run-plan' });
    const figures = own.compared.map((line) =>
      html('tr', {}, html('th', { scope: 'row' }, line.title), html('td', {}, `${mm(line.exact)} ${line.unit === 'deg' ? '°' : 'mm'}`), html('td', { class: 'quiet' }, mm(line.second_order))),
    );
    const least = own.least_radius_mm;
    this.found.replaceChildren(
      html('h2', { class: 'verdict' }, `${words(own.course)}, radius ${mm(own.radius_mm)} mm`),
      least === undefined ? '' : html('p', {}, least === null ? 'It runs on no curve.' : `It runs on ${mm(least)} mm and more.`),
      html('ul', { class: 'run-findings' }, ...own.findings.map((finding) => html('li', {}, html('strong', {}, finding.severity), ` ${finding.sentence}`))),
      own.findings.length === 0 ? html('p', {}, 'Nothing comes too near.') : '',
      html('h3', {}, 'Nearest approaches'),
      html('ol', { class: 'run-near' }, ...near.map((approach) => this.near(approach))),
      plan,
      html('p', {}, html('a', { href: this.address('plan.pdf'), target: '_blank', rel: 'noopener' }, 'Plan to print')),
      html('table', {}, html('caption', {}, 'Exact, and by the formula of tables'), html('tbody', {}, ...figures)),
    );
    this.events.say(`${words(own.course)}, radius ${mm(own.radius_mm)} mm: ${near[0] ? nearWords(near[0]) : 'nothing near'}.`);
  }

  private near(approach: Approach & { of: string }): HTMLLIElement {
    const text = nearWords(approach);
    if (approach.of === 'tender') return html('li', {}, `tender: ${text}`);
    const button = html('button', { type: 'button', class: 'plain' }, text);
    button.addEventListener('click', () => void this.events.pick(approach.part));
    return html('li', {}, button);
  }

  private async showRun(): Promise<void> {
    const { body } = this;
    if (!body) return;
    if (!this.inSpace.checked) {
      body.showStage(null);
      this.along.disabled = true;
      return;
    }
    try {
      const done = await this.work.run('The train: being set on its rails', async (signal) => {
        this.run ??= await readRun(await (await ask(this.address('run.glb'), signal)).arrayBuffer());
      });
      if (!done || !this.run) {
        this.inSpace.checked = false;
        return;
      }
      this.along.disabled = false;
      this.place();
      body.showStage(this.run.scene, this.run.train());
    } catch (reason) {
      this.inSpace.checked = false;
      this.refused(reason);
    }
  }

  private place(): void {
    if (!this.run) return;
    this.run.set(Number(this.along.value));
    if (this.inSpace.checked) this.body?.showStage(this.run.scene, this.run.train());
  }

  private refused(reason: unknown): void {
    if (!(reason instanceof Refusal)) throw reason;
    const { problem } = reason;
    const text = problem.errors?.[0]?.message ?? problem.detail ?? problem.title;
    this.found.replaceChildren(html('p', { class: 'fault' }, text));
    this.events.say(`Not led over the curve: ${text}`);
  }
}

function nearWords(approach: Approach): string {
  const distance = approach.distance_mm < 0 ? `cuts ${mm(-approach.distance_mm)} mm into` : `${mm(approach.distance_mm)} mm from`;
  return `${words(approach.mover)} ${distance} ${words(approach.part)}`;
}
