// The two views as one: what is pointed at, lit, shown and measured, in the body and on its flat alike.

import { Box3, Vector3 } from 'three';
import { fetchJoints, type Feature, type Finding, type Joint, type Plate } from './api';
import { Arrangement } from './arrangement';
import { Beneath } from './beneath';
import type { BodyView, Pointed, Show } from './body-view';
import type { Desk } from './desk';
import { byId, html } from './dom';
import { FeatureStore, featureAt, featureWords, point } from './features';
import { FindingsList } from './findings';
import { FlatFeatures } from './flat-features';
import { DRAWING_SCALES, PX_PER_PAPER_MM, scaleName, type FlatView } from './flat-view';
import { MARGIN_PX } from './framing';
import { Gauge } from './gauge';
import { cased, Ink, seenPath } from './ink';
import { Instruments } from './instruments';
import { meetingsOf, meetingsTable, type Meeting } from './joints';
import { caught, Measure, onFlat } from './measure';
import type { Layout } from './outline';
import { overall, OVERALL_PX } from './overall';
import { SectionControls } from './section-controls';

/** A place that is flown to is seen with this much (mm, full size of a foot or two) round it, or a part of its plate. */
const ROUND_MM = 14;
const ROUND_SHARE = 0.45;

interface Lit {
  plate: string;
  feature: Feature;
}

export class Views {
  private readonly store = new FeatureStore();
  private readonly flatFeatures: FlatFeatures;
  private readonly findingsList: FindingsList;
  private readonly instruments = new Instruments(byId('instruments'), byId('trays'));
  private readonly ink: Ink | null;
  private readonly arrangement: Arrangement | null;
  private readonly gauge: Gauge | null;
  private readonly measure: Measure | null;
  private readonly beneath: Beneath | null;
  private readonly section: SectionControls | null;
  private readonly apart = html('input', { id: 'apart', type: 'range', min: '0', max: '1', step: 'any', value: '0' });
  private joints: Joint[] = [];
  private joining: AbortController | null = null;
  private picked = '';
  private features: Feature[] = [];
  private lit: Lit | null = null;
  private place: Vector3 | null = null;
  private meeting: Meeting | null = null;
  private readonly away = new Set<string>();
  private readonly faint = new Set<string>();

  constructor(
    private readonly body: BodyView | null,
    private readonly flatView: FlatView,
    private readonly desk: Desk,
  ) {
    this.flatFeatures = new FlatFeatures(byId<HTMLElement>('flat-drawing') as unknown as SVGSVGElement, {
      pointed: (feature) => this.light(feature ? { plate: this.picked, feature } : null),
      chosen: (feature, at) => this.chooseOnFlat(feature, at),
    });
    this.findingsList = new FindingsList(byId('findings'), (finding) => void this.goTo(finding));
    this.ink = body ? new Ink(byId<HTMLElement>('body-ink') as unknown as SVGSVGElement, body) : null;
    this.arrangement = body ? new Arrangement(body) : null;
    this.gauge = body && this.arrangement ? new Gauge(body, this.arrangement, desk) : null;
    this.measure = this.ink ? new Measure(this.ink, desk) : null;
    this.beneath = body && this.ink ? new Beneath(byId('body'), byId('body-canvas'), body, this.ink, desk) : null;
    this.section = body ? new SectionControls((cut) => body.setCut(cut)) : null;
    this.layOutInstruments();
    this.showControls();
    this.keys();
    byId('body').addEventListener('picture', (event) => {
      this.instruments.use('beneath', true);
      void this.beneath?.show((event as CustomEvent<File>).detail);
    });
  }

  /** A body was read anew, with its list and findings. */
  opened(findings: Finding[]): void {
    this.store.forget();
    this.light(null);
    this.findingsList.fill(findings);
    this.setPlace(null, null);
    const ids = new Set(this.body?.parts().map((part) => part.id));
    for (const set of [this.away, this.faint]) for (const id of set) if (!ids.has(id)) set.delete(id);
    const bounds = this.body?.bounds();
    if (bounds) this.section?.setBounds(bounds);
    this.arrangement?.renew();
    this.gauge?.renew();
    this.measure?.clear();
    this.dress();
    void this.loadJoints();
  }

  /** A plate was picked and its flat is laid out. */
  plateShown(id: string, plate: Plate | null): void {
    const other = id !== this.picked;
    this.picked = id;
    if (other) {
      this.light(null);
      this.setPlace(null, null);
    }
    this.gauge?.pick(id);
    this.meetings();
    this.dress();
    this.features = [];
    this.flatFeatures.setFeatures([]);
    if (plate) {
      void this.store.of(this.desk.reading(), id).then((features) => {
        if (this.picked !== id) return;
        this.features = features;
        this.flatFeatures.setFeatures(features);
      });
    }
  }

  flatDrawn(content: SVGGElement, layout: Layout, turns: number): void {
    this.flatFeatures.drawn(content, layout, turns);
  }

  /** The eye moved. */
  moved(): void {
    this.beneath?.place();
    const { body } = this;
    if (!body) return;
    const select = byId<HTMLSelectElement>('body-scale');
    select.value = body.chosenRatio === null ? '' : String(body.chosenRatio);
    const ratio = body.pxPerMm / PX_PER_PAPER_MM;
    byId('body-drawn').textContent = body.chosenRatio === null ? `about ${ratio >= 1 ? `${ratio.toFixed(1)} : 1` : `1 : ${(1 / ratio).toFixed(1)}`}` : scaleName(body.chosenRatio);
  }

  /** A picture of the body was drawn. */
  drawn(): void {
    this.ink?.draw();
  }

  /** The pointer moved over the body, or left it. Answers what it is over, in words. */
  pointed(at: Pointed | null): string {
    if (!at) {
      this.light(null);
      this.measure?.hover(null);
      return '';
    }
    if (this.measure?.inUse) {
      this.measure.hover(this.catchAt(at));
    }
    const part = this.body?.part(this.picked);
    const bent = part?.bend && part.bend.lambda < 1;
    const feature = bent || !part ? null : featureAt(this.features, at.x, at.y, (place) => this.see(place), at.depth);
    this.light(feature ? { plate: this.picked, feature } : null);
    if (feature) return `${featureWords(feature)}; ${this.desk.nameOf(this.picked)}`;
    return at.part ? this.desk.nameOf(at.part.id) : '';
  }

  /** A click on the body. */
  clicked(at: Pointed): void {
    if (this.measure?.inUse) {
      const end = this.catchAt(at);
      if (end) this.measure.take(end);
      return;
    }
    // A click on what is lit on the picked plate keeps the plate.
    if (this.lit && at.part?.id !== this.picked && this.lit.feature.kind === 'hole') return;
    void this.desk.pick(at.part?.id ?? '');
  }

  private see(place: number[]): ReturnType<BodyView['see']> {
    return this.body?.see(this.standing(this.picked, point(place))) ?? { x: 0, y: 0, depth: 0 };
  }

  /** Where a point of the formed plate stands at this moment. */
  private standing(plate: string, place: Vector3): Vector3 {
    const part = this.body?.part(plate);
    if (!part) return place;
    return (part.bend?.follow(place) ?? place).add(part.object.position);
  }

  private catchAt(at: Pointed): ReturnType<typeof caught> {
    if (!this.body || !at.part) return null;
    const features = this.store.at(this.desk.reading(), at.part.id);
    return caught(this.body, at, at.part.kind === 'plate' ? features : [], (id) => this.desk.nameOf(id));
  }

  private chooseOnFlat(feature: Feature, at: [number, number] | null): void {
    if (!this.measure?.inUse) {
      this.desk.say(`${featureWords(feature)}.`);
      return;
    }
    const end = onFlat(this.picked, feature, at);
    if (end) this.measure.take({ ...end, body: this.standing(this.picked, end.body) });
  }

  private light(lit: Lit | null): void {
    if (lit?.feature === this.lit?.feature && lit?.plate === this.lit?.plate) return;
    this.lit = lit;
    this.flatFeatures.light(lit && lit.plate === this.picked ? lit.feature : null);
    byId('flat-named').textContent = lit ? featureWords(lit.feature) : '';
    document.documentElement.dataset.lit = lit ? `${lit.plate}/${lit.feature.id}` : '';
    this.ink?.set('lit', lit ? (view) => this.litInk(view, lit) : null);
  }

  private litInk(view: BodyView, { plate, feature }: Lit): SVGElement[] {
    const path = feature.runs.map((run) => seenPath(view, run.body_mm.map((place) => this.standing(plate, point(place))))).join('');
    const drawn: SVGElement[] = path ? cased('lit-line', 'path', { d: path }) : [];
    if (feature.at) {
      const { x, y } = view.see(this.standing(plate, point(feature.at.body_mm)));
      drawn.push(...cased('lit-line', 'circle', { cx: x, cy: y, r: feature.kind === 'hole' ? 2.5 : 6 }));
    }
    return drawn;
  }

  /** Steps through the features of the picked plate, in the order of the plate; rivets by their rows. */
  private step(by: number): void {
    const rows = new Set<string>();
    const stops = this.features.filter((feature) => {
      if (feature.kind !== 'rivet') return true;
      const first = !rows.has(feature.name);
      rows.add(feature.name);
      return first;
    });
    if (stops.length === 0) return;
    const at = this.lit ? stops.indexOf(this.lit.feature) : -1;
    const next = stops[at < 0 ? (by > 0 ? 0 : stops.length - 1) : (at + by + stops.length) % stops.length];
    if (!next) return;
    this.light({ plate: this.picked, feature: next });
    this.desk.say(`${featureWords(next)}.`);
  }

  private takeLit(): void {
    if (!this.lit || !this.measure?.inUse) return;
    const end = onFlat(this.lit.plate, this.lit.feature, null);
    if (end) this.measure.take({ ...end, body: this.standing(this.lit.plate, end.body) });
  }

  private keys(): void {
    byId('body-canvas').addEventListener('keydown', (event) => {
      if (event.ctrlKey || event.metaKey || event.altKey) return;
      const actions: Record<string, () => void> = {
        '.': () => this.step(1),
        ',': () => this.step(-1),
        Enter: () => this.takeLit(),
        a: () => this.putAway(),
      };
      const action = actions[event.key];
      if (!action) return;
      event.preventDefault();
      action();
    });
  }

  private layOutInstruments(): void {
    const { instruments, section, gauge, measure, beneath, arrangement, body } = this;
    if (!body || !section || !gauge || !measure || !beneath || !arrangement) return;
    instruments.add({ id: 'cut', title: 'Section', says: 'Cut the body by a plane', tray: section.tray, used: (on) => section.use(on) });
    this.apart.addEventListener('input', () => arrangement.setApart(Number(this.apart.value)));
    const apart = html('div', {}, html('label', { class: 'line' }, 'In place ', this.apart, ' drawn apart'));
    apart.append(html('p', { class: 'quiet' }, 'The last put on leaves first.'));
    instruments.add({
      id: 'apart', title: 'Draw apart', says: 'Take the engine to pieces in its order of assembly', tray: apart,
      used: (on) => arrangement.setApart(on ? Number(this.apart.value) : 0),
    });
    instruments.add({ id: 'gauge', title: 'Bending gauge', says: 'Bend a plate or the whole kit from flat to formed', tray: gauge.tray, used: (on) => gauge.use(on) });
    instruments.add({ id: 'measure', title: 'Dividers', says: 'Measure between two features', tray: measure.tray, used: (on) => measure.use(on) });
    instruments.add({
      id: 'overall', title: 'Dimensions', says: 'Overall dimensions, full size and on the model, on the standard views',
      used: (on) => {
        body.setMargins({ round: on ? OVERALL_PX : MARGIN_PX });
        this.ink?.set('overall', on ? (view) => overall(view, this.pickedBounds(), this.desk.mmPerFoot()) : null);
      },
    });
    instruments.add({ id: 'beneath', title: 'Drawing beneath', says: 'Lay a picture of a works drawing under the body', tray: beneath.tray, used: (on) => beneath.use(on) });
    // The body makes room for the trays that lie on it.
    const trays = byId('trays');
    new ResizeObserver(() => body.setMargins({ right: trays.offsetHeight > 0 ? trays.offsetWidth : 0 })).observe(trays);
    const scale = byId<HTMLSelectElement>('body-scale');
    scale.append(html('option', { value: '' }, 'to fit'), ...DRAWING_SCALES.map((ratio) => html('option', { value: String(ratio) }, scaleName(ratio))));
    scale.addEventListener('change', () => body.setRatio(Number(scale.value) || null));
  }

  private pickedBounds(): Box3 | null {
    return this.body?.boundsOf(this.picked) ?? null;
  }

  private showControls(): void {
    for (const choice of document.querySelectorAll<HTMLInputElement>('input[name="show"]')) {
      choice.addEventListener('change', () => this.body?.setDress({ show: choice.value as Show }));
    }
    byId('put-away').addEventListener('click', () => this.putAway());
    byId('draw-faint').addEventListener('click', () => {
      if (!this.picked) return;
      if (!this.faint.delete(this.picked)) this.faint.add(this.picked);
      this.dress();
      this.desk.say(`${this.desk.nameOf(this.picked)} ${this.faint.has(this.picked) ? 'is drawn faint while it is not picked' : 'is drawn solid again'}.`);
    });
    byId('bring-back').addEventListener('click', () => {
      this.away.clear();
      this.faint.clear();
      this.dress();
      this.desk.say('All parts are on the sheet again.');
    });
  }

  private putAway(): void {
    if (!this.picked) return;
    const name = this.desk.nameOf(this.picked);
    if (!this.away.delete(this.picked)) this.away.add(this.picked);
    this.dress();
    this.desk.say(`${name} ${this.away.has(this.picked) ? 'is put away' : 'is back'}.`);
  }

  private dress(): void {
    const some = this.picked !== '';
    const state = (id: string, on: boolean): void => {
      const button = byId<HTMLButtonElement>(id);
      button.disabled = !some;
      button.setAttribute('aria-pressed', String(on));
    };
    state('put-away', this.away.has(this.picked));
    state('draw-faint', this.faint.has(this.picked));
    const back = byId<HTMLButtonElement>('bring-back');
    const changed = this.away.size + this.faint.size;
    back.disabled = changed === 0;
    back.textContent = changed === 0 ? 'Bring back' : `Bring back ${changed}`;
    this.body?.setDress({
      away: new Set(this.away),
      faint: new Set(this.faint),
      neighbours: new Set(meetingsOf(this.joints, this.picked).map((meeting) => meeting.other.plate)),
    });
  }

  private async loadJoints(): Promise<void> {
    this.joining?.abort();
    const joining = new AbortController();
    this.joining = joining;
    try {
      this.joints = await fetchJoints(this.desk.reading(), joining.signal);
    } catch {
      // Broken files and lost servers are told by whoever asks for the plates.
      if (!joining.signal.aborted) this.joints = [];
    }
    if (joining.signal.aborted) return;
    this.meetings();
    this.dress();
  }

  private meetings(): void {
    const meetings = meetingsOf(this.joints, this.picked);
    const panel = byId('meets');
    panel.hidden = meetings.length === 0;
    panel.replaceChildren(
      meetingsTable(meetings, {
        pointed: (meeting) => void this.lightMeeting(meeting),
        chosen: (plate) => void this.desk.pick(plate),
        nameOf: (plate) => this.desk.nameOf(plate),
      }),
    );
  }

  /** Lights the neighbour whole, and the edge or opening that meets it. */
  private async lightMeeting(meeting: Meeting | null): Promise<void> {
    this.meeting = meeting;
    this.body?.setDress({ lit: new Set(meeting ? [meeting.other.plate] : []) });
    if (!meeting) {
      this.light(null);
      return;
    }
    const own = this.features.find((feature) => feature.name === meeting.own.feature && (feature.kind === 'edge' || feature.kind === 'hole'));
    if (own) {
      this.light({ plate: this.picked, feature: own });
      return;
    }
    // Where the plate's own side is its face, the neighbour's edge says where they meet.
    const others = await this.store.of(this.desk.reading(), meeting.other.plate);
    const other = others.find((feature) => feature.name === meeting.other.feature);
    if (other && this.meeting === meeting) this.light({ plate: meeting.other.plate, feature: other });
  }

  /** Flies to the place of a finding in both views. */
  private async goTo(finding: Finding): Promise<void> {
    const { at } = finding;
    if (at?.plate && at.plate !== this.picked) await this.desk.pick(at.plate);
    const plate = at?.plate ?? '';
    const box = this.body?.boundsOf(plate) ?? this.body?.bounds() ?? null;
    const place = at?.body_mm ? this.standing(plate, point(at.body_mm)) : (box?.getCenter(new Vector3()) ?? null);
    if (!place) return;
    const size = box ? box.getSize(new Vector3()).length() : ROUND_MM;
    const across = at?.body_mm ? Math.max(ROUND_MM, size * ROUND_SHARE) : size * 1.2;
    this.body?.fly(place, across);
    this.setPlace(at?.body_mm ? place : null, at?.flat_mm ?? null);
    if (at?.flat_mm) this.flatView.reveal(at.flat_mm);
    this.desk.say(`${finding.severity}: ${finding.sentence}.${finding.mend ? ` To mend it: ${finding.mend}` : ''}`);
  }

  private setPlace(body: Vector3 | null, flat: [number, number] | null): void {
    this.place = body;
    this.flatFeatures.setMark(flat);
    this.ink?.set('place', body ? (view) => this.placeInk(view) : null);
  }

  private placeInk(view: BodyView): SVGElement[] {
    if (!this.place) return [];
    const { x, y } = view.see(this.place);
    return [9, 14].flatMap((r) => cased('mark', 'circle', { cx: x, cy: y, r }));
  }
}
