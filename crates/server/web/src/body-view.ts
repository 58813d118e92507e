// The body above: an orthographic eye that turns, shifts and enlarges; drawn only when something changed.

import { Box3, OrthographicCamera, Raycaster, Scene, Spherical, Vector2, Vector3, WebGLRenderer, type Object3D } from 'three';
import { OrbitControls } from 'three/addons/controls/OrbitControls.js';
import { Body, inks, setPaperInk, type Part } from './body';
import type { Seen } from './features';
import { PX_PER_PAPER_MM } from './flat-view';
import { clampLine, frame, MARGIN_PX, type FlatRoom, type Margins } from './framing';
import { Metals, type Look } from './metal';
import { Outlines } from './outlines';
import { Section, type Cut } from './section';
import { VIEWS, type ViewName } from './standard-views';

/** Which parts are drawn solid: all, the picked one and what it meets, or the picked one. */
export type Show = 'all' | 'faint' | 'meets' | 'alone';

/** What the pointer is over. */
export interface Pointed {
  /** In the picture (px). */
  x: number;
  y: number;
  part: Part | null;
  /** The point of metal there, and how far it is from the eye (mm). */
  place: Vector3 | null;
  depth: number | null;
}

export interface BodyViewEvents {
  clicked(at: Pointed): void;
  pointed(at: Pointed | null): void;
  /** The eye moved, or the picture changed its size. */
  moved(): void;
  /** A picture was drawn: what is inked over it follows. */
  drawn(): void;
}

/** How parts are shown beyond what is picked. */
export interface Dress {
  show: Show;
  /** Put away, and drawn faint, one by one. */
  away: ReadonlySet<string>;
  faint: ReadonlySet<string>;
  /** Met by the picked plate. */
  neighbours: ReadonlySet<string>;
  lit: ReadonlySet<string>;
  /** Ink lines only, hidden ones left out. */
  outline: boolean;
}

const CLICK_PX = 4;
const FLIGHT_MS = 450;
const Z_UP = new Vector3(0, 0, 1);

const stillWanted = (): boolean => matchMedia('(prefers-reduced-motion: reduce)').matches;

export class BodyView {
  private readonly renderer: WebGLRenderer;
  private readonly scene = new Scene();
  private readonly camera = new OrthographicCamera(-1, 1, 1, -1, 0.1, 1000);
  private readonly controls: OrbitControls;
  private readonly metals = new Metals();
  private readonly section: Section;
  private readonly outlines = new Outlines();
  private readonly raycaster = new Raycaster();
  private body: Body | null = null;
  private picked = '';
  private look: Dress = { show: 'all', away: new Set(), faint: new Set(), neighbours: new Set(), lit: new Set(), outline: false };
  private cut: Cut | null = null;
  private view: ViewName | 'turned' = 'isometric';
  /** The eye was shifted or the picture enlarged by hand, the view being still a standard one. */
  private byHand = false;
  private ratio: number | null = null;
  private width = 1;
  private height = 1;
  private frameAsked = false;
  private frames = 0;
  private stage: Object3D | null = null;
  private stageSeen: Box3 | null = null;
  private waiting: ((frame_ms: number) => void)[] = [];
  private flight = 0;
  private flatRoom: FlatRoom = { half: 0, taken: 0 };
  private reach = new Map<string, Box3>();
  private margins: Margins = { round: MARGIN_PX, right: 0 };

  constructor(
    private readonly canvas: HTMLCanvasElement,
    private readonly events: BodyViewEvents,
  ) {
    this.renderer = new WebGLRenderer({ canvas, antialias: true, stencil: true, alpha: true });
    this.renderer.localClippingEnabled = true;
    this.renderer.setPixelRatio(Math.min(window.devicePixelRatio, 2));
    this.section = new Section(this.scene, this.renderer.getPixelRatio());
    this.camera.up.copy(Z_UP);
    this.controls = new OrbitControls(this.camera, canvas);
    this.controls.zoomToCursor = true;
    // A mere click starts and ends without a change and leaves the standard view as it is.
    let handled = false;
    this.controls.addEventListener('start', () => {
      handled = true;
      this.land();
    });
    this.controls.addEventListener('end', () => (handled = false));
    this.controls.addEventListener('change', () => {
      if (handled) this.handMoved();
      this.changed();
    });
    this.listen();
    new ResizeObserver(() => this.resize()).observe(canvas.parentElement ?? canvas);
    this.resize();
    this.followPaper();
  }

  get hasBody(): boolean {
    return this.body !== null;
  }

  get currentView(): ViewName | 'turned' {
    return this.view;
  }

  get pxPerMm(): number {
    return this.camera.zoom;
  }

  /** The chosen scale of drawing, or nothing for the largest that fits. */
  get chosenRatio(): number | null {
    return this.ratio;
  }

  get size(): { width: number; height: number } {
    return { width: this.width, height: this.height };
  }

  parts(): Part[] {
    return this.body ? [...this.body.parts.values()] : [];
  }

  part(id: string): Part | null {
    return this.body?.parts.get(id) ?? null;
  }

  /** Time (s) that drawing everything apart takes. */
  get apart_s(): number {
    return this.body?.apart_s ?? 0;
  }

  boundsOf(id: string): Box3 | null {
    return this.part(id)?.bounds ?? null;
  }

  bounds(): Box3 | null {
    return this.body?.bounds(false) ?? null;
  }

  /** Takes a new body; the eye keeps its place unless there was none before or `reframe` is wanted. */
  setBody(body: Body, reframe: boolean): void {
    const first = this.body === null;
    if (this.body) {
      this.scene.remove(this.body.root);
      this.section.forget();
      this.outlines.forget();
      this.body.dispose();
    }
    this.body = body;
    body.root.visible = this.stage === null;
    this.scene.add(body.root);
    this.dress();
    if (first || reframe) this.setView(this.view === 'turned' ? 'isometric' : this.view);
    else this.settle();
  }

  /** Parts in place of those of the same ids; the eye and all else stay. */
  takeParts(parts: Body | null, gone: readonly string[]): void {
    if (!this.body) return;
    this.section.forget();
    this.outlines.forget();
    this.body.adopt(parts, gone);
    this.dress();
  }

  /** Something else in place of the body, with what is to be seen of it; nothing brings the body back. */
  showStage(stage: Object3D | null, seen: Box3 | null = null): void {
    const wasThere = this.stage !== null;
    if (this.stage && this.stage !== stage) this.scene.remove(this.stage);
    if (stage && this.stage !== stage) this.scene.add(stage);
    this.stage = stage;
    this.stageSeen = seen;
    if (this.body) this.body.root.visible = stage === null;
    if (wasThere !== (stage !== null) || this.view !== 'turned') this.setView(this.view === 'turned' ? 'isometric' : this.view);
    this.ask();
  }

  /** Calls back when the next frame is drawn to its end, with the time (ms) that it took. */
  afterFrame(drawn: (frame_ms: number) => void): void {
    this.waiting.push(drawn);
    this.ask();
  }

  pick(id: string): void {
    if (this.picked === id) return;
    this.picked = id;
    this.dress();
    this.settle();
  }

  setDress(change: Partial<Dress>): void {
    const { show } = this.look;
    this.look = { ...this.look, ...change };
    this.dress();
    if (show !== this.look.show) this.settle();
  }

  get dressed(): Readonly<Dress> {
    return this.look;
  }

  setCut(cut: Cut | null): void {
    this.cut = cut;
    this.dress();
  }

  /** Bends plates and draws parts apart: the stage of each plate, and the share of its way of each part. */
  arrange(lambdaOf: (part: Part) => number, awayOf: (part: Part) => number): void {
    for (const part of this.parts()) {
      part.bend?.set(lambdaOf(part));
      part.object.position.copy(part.leave?.by ?? ORIGIN).multiplyScalar(part.leave ? awayOf(part) : 0);
    }
    this.ask();
  }

  /** Room that parts are going to take, where it is more than they take formed and in place. */
  setReach(reach: Map<string, Box3>): void {
    if (reach.size === 0 && this.reach.size === 0) return;
    this.reach = reach;
    this.settle();
  }

  /** Room to be left for what is inked or laid round the body (px). */
  setMargins(change: Partial<Margins>): void {
    const margins = { ...this.margins, ...change };
    if (margins.round === this.margins.round && margins.right === this.margins.right) return;
    this.margins = margins;
    this.settle();
  }

  setFlatRoom(room: FlatRoom): void {
    const before = this.flatRoom;
    if (Math.abs(room.half - before.half) < 0.5 && Math.abs(room.taken - before.taken) < 0.5) return;
    this.flatRoom = room;
    this.settle();
  }

  setView(name: ViewName): void {
    this.view = name;
    this.byHand = false;
    this.lookFrom(new Vector3(...VIEWS[name].towardsEye));
  }

  /** Draws to a scale, or as large as fits. */
  setRatio(ratio: number | null): void {
    this.ratio = ratio;
    if (this.view !== 'turned') this.setView(this.view);
    else if (ratio !== null) {
      this.camera.zoom = ratio * PX_PER_PAPER_MM;
      this.camera.updateProjectionMatrix();
      this.changed();
    }
  }

  /** Where the middle of the picked plate stands in the picture (px), or nothing when none is picked. */
  anchor(): { x: number; y: number } | null {
    const part = this.part(this.picked);
    return part ? this.see(part.bounds.getCenter(new Vector3())) : null;
  }

  /** Where a point of the body is seen (px), and how far from the eye it is (mm). */
  see(place: Vector3): Seen {
    const seen = place.clone().project(this.camera);
    const depth = ((seen.z + 1) / 2) * (this.camera.far - this.camera.near) + this.camera.near;
    return { x: ((seen.x + 1) / 2) * this.width, y: ((1 - seen.y) / 2) * this.height, depth };
  }

  /** The point of the body at a place in the picture that lies as deep as its middle. */
  placeAt(x: number, y: number): Vector3 {
    return new Vector3((x / this.width) * 2 - 1, 1 - (y / this.height) * 2, 0).unproject(this.camera);
  }

  /** Directions in the body that run right and up in the picture. */
  axes(): { right: Vector3; up: Vector3; towardsEye: Vector3 } {
    const axis = (k: number): Vector3 => new Vector3().setFromMatrixColumn(this.camera.matrixWorld, k);
    return { right: axis(0), up: axis(1), towardsEye: axis(2) };
  }

  /** Turns about the upright axis and over the body, in radians. */
  turn(round: number, over: number): void {
    this.land();
    this.view = 'turned';
    const offset = this.camera.position.clone().sub(this.controls.target);
    // Spherical counts from y up: z is laid there and back.
    const angles = new Spherical().setFromCartesianCoords(offset.x, offset.z, -offset.y);
    angles.theta += round;
    angles.phi -= over;
    angles.makeSafe();
    const eye = new Vector3().setFromSpherical(angles);
    this.camera.position.copy(this.controls.target).add(new Vector3(eye.x, -eye.z, eye.y));
    this.controls.update();
    this.changed();
  }

  shift(dx: number, dy: number): void {
    this.byHand = true;
    this.shiftBy(dx, dy);
    this.changed();
  }

  enlarge(factor: number): void {
    this.byHand = true;
    this.ratio = null;
    this.camera.zoom *= factor;
    this.camera.updateProjectionMatrix();
    this.changed();
  }

  /** Brings a place into the middle of the picture, enlarged so that `across` mm are seen on its shorter side. */
  fly(to: Vector3, across: number): void {
    this.land();
    this.byHand = true;
    this.ratio = null;
    const from = { target: this.controls.target.clone(), zoom: this.camera.zoom };
    const { right, up } = this.axes();
    const wanted = to.clone().sub(from.target);
    // Only across the picture: the eye keeps its distance.
    const goal = from.target.clone().addScaledVector(right, wanted.dot(right)).addScaledVector(up, wanted.dot(up));
    const zoom = Math.min(this.width, this.height) / across;
    const step = (share: number): void => {
      const eased = share * share * (3 - 2 * share);
      const at = from.target.clone().lerp(goal, eased);
      this.camera.position.add(at.clone().sub(this.controls.target));
      this.controls.target.copy(at);
      this.camera.zoom = from.zoom * (zoom / from.zoom) ** eased;
      this.camera.updateProjectionMatrix();
      this.camera.updateMatrixWorld();
      this.changed();
    };
    if (stillWanted()) {
      step(1);
      return;
    }
    const start = performance.now();
    const next = (now: number): void => {
      const share = Math.min(1, (now - start) / FLIGHT_MS);
      step(share);
      this.flight = share < 1 ? requestAnimationFrame(next) : 0;
    };
    this.flight = requestAnimationFrame(next);
  }

  /** Draws at once, before the sheet is printed. */
  drawNow(): void {
    if (this.body) this.draw();
  }

  /** Asks for a picture although the eye did not move. */
  redraw(): void {
    this.ask();
  }

  private land(): void {
    cancelAnimationFrame(this.flight);
    this.flight = 0;
  }

  /** A standard view that was only shifted or enlarged stays one. */
  private handMoved(): void {
    this.byHand = true;
    const zoomed = this.ratio !== null && Math.abs(this.camera.zoom - this.ratio * PX_PER_PAPER_MM) > 1e-6;
    if (zoomed) this.ratio = null;
    if (this.view === 'turned') return;
    const towards = this.camera.position.clone().sub(this.controls.target).normalize();
    if (towards.distanceTo(new Vector3(...VIEWS[this.view].towardsEye).normalize()) > 1e-4) this.view = 'turned';
  }

  private changed(): void {
    this.events.moved();
    this.ask();
  }

  private shiftBy(dx: number, dy: number): void {
    this.camera.updateMatrixWorld();
    const { right, up } = this.axes();
    const step = right.multiplyScalar(-dx / this.camera.zoom).addScaledVector(up, dy / this.camera.zoom);
    this.camera.position.add(step);
    this.controls.target.add(step);
    this.controls.update();
    this.camera.updateMatrixWorld();
  }

  private lookFrom(towardsEye: Vector3): void {
    if (!this.body) return;
    this.land();
    const alone = this.look.show === 'alone' && this.body.parts.has(this.picked);
    const shown = this.parts().filter((part) => !alone || part.id === this.picked);
    const boxes = this.stageSeen ? [this.stageSeen] : shown.map((part) => this.reach.get(part.id) ?? part.bounds);
    const bounds = boxes.reduce((all, box) => all.union(box), new Box3());
    const distance = this.body.bounds(false).union(bounds).getSize(new Vector3()).length() * 2 + 1;
    bounds.getCenter(this.controls.target);
    this.camera.position.copy(this.controls.target).addScaledVector(towardsEye, distance);
    this.camera.near = distance / 1000;
    this.camera.far = distance * 3;
    this.camera.lookAt(this.controls.target);
    this.camera.updateMatrixWorld();
    const anchor = this.stage ? null : (this.part(this.picked)?.bounds.getCenter(new Vector3()) ?? null);
    const fixed = this.ratio === null ? null : this.ratio * PX_PER_PAPER_MM;
    const framed = frame(this.camera, boxes, anchor, { width: this.width, height: this.height, flat: this.flatRoom, margins: this.margins }, fixed);
    this.camera.zoom = framed.pxPerMm;
    this.camera.updateProjectionMatrix();
    this.shiftBy(framed.shiftX, framed.shiftY);
    this.changed();
  }

  /** Brings the picked plate and the flat below it onto one line again. */
  private settle(): void {
    if (this.view !== 'turned' && !this.byHand) {
      this.setView(this.view);
      return;
    }
    const anchor = this.anchor();
    if (anchor) {
      const wanted = clampLine(anchor.x, this.width, this.flatRoom);
      if (Math.abs(wanted - anchor.x) > 0.5) this.shiftBy(wanted - anchor.x, 0);
    }
    this.changed();
  }

  private lookOf(part: Part): Look | 'hidden' {
    const { show, away, faint, neighbours, lit, outline } = this.look;
    if (away.has(part.id)) return 'hidden';
    const solid = (look: Look): Look => (outline ? 'outline' : look);
    if (lit.has(part.id)) return solid('lit');
    // What is lit is seen through all else: formers stand inside their wrappers.
    if (lit.size > 0) return 'faint';
    if (part.id === this.picked) return solid('picked');
    if (faint.has(part.id)) return 'faint';
    const pickedIsThere = this.body?.parts.has(this.picked) ?? false;
    if (show === 'all' || !pickedIsThere) return solid('plain');
    if (show === 'meets' && neighbours.has(part.id)) return solid('plain');
    return show === 'alone' ? 'hidden' : 'faint';
  }

  private isSolid(part: Part): boolean {
    return !['hidden', 'faint'].includes(this.lookOf(part));
  }

  private dress(): void {
    if (!this.body) return;
    this.body.dress(this.metals, (part) => this.lookOf(part));
    this.section.set(this.cut, this.body.bounds(false));
    this.section.clip(this.metals.all());
    this.section.clip(inks);
    this.section.count(this.body, this.picked, (part) => this.isSolid(part));
    this.ask();
  }

  private resize(): void {
    const box = (this.canvas.parentElement ?? this.canvas).getBoundingClientRect();
    const width = Math.max(1, Math.round(box.width));
    const height = Math.max(1, Math.round(box.height));
    if (width === this.width && height === this.height) return;
    this.width = width;
    this.height = height;
    this.renderer.setSize(width, height);
    // One unit of the picture is one pixel, so that the camera's zoom is pixels per millimetre.
    Object.assign(this.camera, { left: -width / 2, right: width / 2, top: height / 2, bottom: -height / 2 });
    this.camera.updateProjectionMatrix();
    this.settle();
    // At once, not with the next frame: a resized canvas is empty until it is drawn.
    if (this.body) this.draw();
  }

  /** Lines that lie on the paper take its ink, also when the sheet turns dark. */
  private followPaper(): void {
    const take = (): void => {
      setPaperInk(getComputedStyle(document.documentElement).getPropertyValue('--ink').trim() || '#23262b');
      this.ask();
    };
    matchMedia('(prefers-color-scheme: dark)').addEventListener('change', take);
    take();
  }

  private ask(): void {
    if (this.frameAsked || !this.body) return;
    this.frameAsked = true;
    requestAnimationFrame(() => {
      this.frameAsked = false;
      this.draw();
    });
  }

  private draw(): void {
    const begun = performance.now();
    if (this.look.outline) this.outlines.draw(this.parts().filter((part) => this.isSolid(part)), this.axes().towardsEye);
    else this.outlines.hide();
    this.renderer.render(this.scene, this.camera);
    this.tellDrawn(begun);
    this.frames += 1;
    document.documentElement.dataset.frames = String(this.frames);
    this.events.drawn();
  }

  private tellDrawn(begun: number): void {
    if (this.waiting.length === 0) return;
    const told = this.waiting;
    this.waiting = [];
    const gl = this.renderer.getContext() as WebGL2RenderingContext;
    const fence = gl.fenceSync(gl.SYNC_GPU_COMMANDS_COMPLETE, 0);
    gl.flush();
    // Asked again and again, so that nothing has to wait for the drawing.
    const ask = (): void => {
      if (fence && !gl.isContextLost() && gl.getSyncParameter(fence, gl.SYNC_STATUS) !== gl.SIGNALED) {
        setTimeout(ask, 3);
        return;
      }
      gl.deleteSync(fence);
      for (const drawn of told) drawn(performance.now() - begun);
    };
    setTimeout(ask);
  }

  /** What lies under a place of the picture (px). */
  pointAt(x: number, y: number): Pointed {
    const nothing: Pointed = { x, y, part: null, place: null, depth: null };
    if (!this.body) return nothing;
    this.raycaster.setFromCamera(new Vector2((x / this.width) * 2 - 1, 1 - (y / this.height) * 2), this.camera);
    const shown = this.parts().filter((part) => this.isSolid(part));
    // The ray knows nothing of the cut: what the cut took away is passed over.
    const hit = this.raycaster
      .intersectObjects(shown.flatMap((part) => part.meshes), false)
      .find((found) => this.section.keeps(found.point));
    if (!hit) return nothing;
    return { x, y, part: this.body.partOf(hit.object), place: hit.point, depth: this.see(hit.point).depth };
  }

  private pointed(event: PointerEvent): Pointed {
    const box = this.canvas.getBoundingClientRect();
    return this.pointAt(event.clientX - box.left, event.clientY - box.top);
  }

  private listen(): void {
    let down: { x: number; y: number } | null = null;
    let hover: PointerEvent | null = null;
    this.canvas.addEventListener('pointerdown', (event) => {
      down = event.button === 0 ? { x: event.clientX, y: event.clientY } : null;
    });
    this.canvas.addEventListener('pointerup', (event) => {
      const still = down && Math.hypot(event.clientX - down.x, event.clientY - down.y) <= CLICK_PX;
      down = null;
      if (still) this.events.clicked(this.pointed(event));
    });
    this.canvas.addEventListener('pointermove', (event) => {
      if (event.buttons !== 0 || event.pointerType === 'touch') return;
      if (!hover) {
        requestAnimationFrame(() => {
          if (hover) this.events.pointed(this.pointed(hover));
          hover = null;
        });
      }
      hover = event;
    });
    this.canvas.addEventListener('pointerleave', () => {
      hover = null;
      this.events.pointed(null);
    });
    this.canvas.addEventListener('webglcontextrestored', () => this.ask());
  }
}

const ORIGIN = new Vector3();
