// The body above: an orthographic eye that turns, shifts and enlarges; drawn only when something changed.

import {
  OrthographicCamera,
  Raycaster,
  Scene,
  Spherical,
  Vector2,
  Vector3,
  WebGLRenderer,
  type Box3,
} from 'three';
import { OrbitControls } from 'three/addons/controls/OrbitControls.js';
import { Body, inks, type Part } from './body';
import { clampLine, frame, type FlatRoom } from './framing';
import { Metals, type Look } from './metal';
import { Section, type Cut } from './section';
import { VIEWS, type ViewName } from './standard-views';

export type Show = 'all' | 'faint' | 'alone';

export interface BodyViewEvents {
  picked(id: string | null): void;
  hovered(id: string | null): void;
  /** The eye moved, or the picture changed its size. */
  moved(): void;
}

const CLICK_PX = 4;
const Z_UP = new Vector3(0, 0, 1);

export class BodyView {
  private readonly renderer: WebGLRenderer;
  private readonly scene = new Scene();
  private readonly camera = new OrthographicCamera(-1, 1, 1, -1, 0.1, 1000);
  private readonly controls: OrbitControls;
  private readonly metals = new Metals();
  private readonly section: Section;
  private readonly raycaster = new Raycaster();
  private body: Body | null = null;
  private picked = '';
  private show: Show = 'all';
  private cut: Cut | null = null;
  private view: ViewName | 'turned' = 'isometric';
  private width = 1;
  private height = 1;
  private frameAsked = false;
  private frames = 0;
  private waiting: ((frame_ms: number) => void)[] = [];
  private flatRoom: FlatRoom = { half: 0, taken: 0 };

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
    this.controls.addEventListener('start', () => (handled = true));
    this.controls.addEventListener('end', () => (handled = false));
    this.controls.addEventListener('change', () => {
      if (handled) this.view = 'turned';
      this.changed();
    });
    this.listen();
    new ResizeObserver(() => this.resize()).observe(canvas.parentElement ?? canvas);
    this.resize();
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

  parts(): Part[] {
    return this.body ? [...this.body.parts.values()] : [];
  }

  boundsOf(id: string): Box3 | null {
    return this.body?.parts.get(id)?.bounds ?? null;
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
      this.body.dispose();
    }
    this.body = body;
    this.scene.add(body.root);
    this.dress();
    if (first || reframe || this.view !== 'turned') this.setView(this.view === 'turned' ? 'isometric' : this.view);
  }

  /** Parts in place of those of the same ids; the eye and all else stay. */
  takeParts(parts: Body | null, gone: readonly string[]): void {
    if (!this.body) return;
    this.section.forget();
    this.body.adopt(parts, gone);
    this.dress();
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

  setShow(show: Show): void {
    this.show = show;
    this.dress();
    this.settle();
  }

  setCut(cut: Cut | null): void {
    this.cut = cut;
    this.dress();
  }

  setFlatRoom(room: FlatRoom): void {
    const before = this.flatRoom;
    if (Math.abs(room.half - before.half) < 0.5 && Math.abs(room.taken - before.taken) < 0.5) return;
    this.flatRoom = room;
    this.settle();
  }

  setView(name: ViewName): void {
    this.view = name;
    this.lookFrom(new Vector3(...VIEWS[name].towardsEye));
  }

  /** Where the middle of the picked plate stands in the picture (px), or nothing when none is picked. */
  anchor(): { x: number; y: number } | null {
    const part = this.body?.parts.get(this.picked);
    if (!part) return null;
    const seen = part.bounds.getCenter(new Vector3()).project(this.camera);
    return { x: ((seen.x + 1) / 2) * this.width, y: ((1 - seen.y) / 2) * this.height };
  }

  /** Turns about the upright axis and over the body, in radians. */
  turn(round: number, over: number): void {
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
    this.view = 'turned';
    this.shiftBy(dx, dy);
    this.changed();
  }

  enlarge(factor: number): void {
    this.view = 'turned';
    this.camera.zoom *= factor;
    this.camera.updateProjectionMatrix();
    this.changed();
  }

  private changed(): void {
    this.events.moved();
    this.ask();
  }

  private shiftBy(dx: number, dy: number): void {
    const right = new Vector3().setFromMatrixColumn(this.camera.matrixWorld, 0);
    const up = new Vector3().setFromMatrixColumn(this.camera.matrixWorld, 1);
    const step = right.multiplyScalar(-dx / this.camera.zoom).addScaledVector(up, dy / this.camera.zoom);
    this.camera.position.add(step);
    this.controls.target.add(step);
    this.controls.update();
    this.camera.updateMatrixWorld();
  }

  private lookFrom(towardsEye: Vector3): void {
    if (!this.body) return;
    const alone = this.show === 'alone' && this.body.parts.has(this.picked);
    const bounds = this.body.bounds(alone);
    const distance = this.body.bounds(false).getSize(new Vector3()).length() * 2 + 1;
    bounds.getCenter(this.controls.target);
    this.camera.position.copy(this.controls.target).addScaledVector(towardsEye, distance);
    this.camera.near = distance / 1000;
    this.camera.far = distance * 3;
    this.camera.lookAt(this.controls.target);
    this.camera.updateMatrixWorld();
    const anchor = this.body.parts.get(this.picked)?.bounds.getCenter(new Vector3()) ?? null;
    const boxes = this.parts().filter((part) => !alone || part.id === this.picked).map((part) => part.bounds);
    const framed = frame(this.camera, boxes, anchor, { width: this.width, height: this.height, flat: this.flatRoom });
    this.camera.zoom = framed.pxPerMm;
    this.camera.updateProjectionMatrix();
    this.shiftBy(framed.shiftX, framed.shiftY);
    this.changed();
  }

  /** Brings the picked plate and the flat below it onto one line again. */
  private settle(): void {
    if (this.view !== 'turned') {
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
    if (part.id === this.picked) return 'picked';
    const pickedIsThere = this.body?.parts.has(this.picked) ?? false;
    if (this.show === 'all' || !pickedIsThere) return 'plain';
    return this.show === 'alone' ? 'hidden' : 'faint';
  }

  private dress(): void {
    if (!this.body) return;
    this.body.dress(this.metals, (part) => this.lookOf(part));
    this.section.set(this.cut, this.body.bounds(false));
    this.section.clip(this.metals.all());
    this.section.clip(inks);
    this.section.count(this.body, this.picked, (part) => ['plain', 'picked'].includes(this.lookOf(part)));
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
    this.renderer.render(this.scene, this.camera);
    this.tellDrawn(begun);
    this.frames += 1;
    document.documentElement.dataset.frames = String(this.frames);
  }

  private tellDrawn(begun: number): void {
    if (this.waiting.length === 0) return;
    // Reading a pixel waits until all is drawn.
    const gl = this.renderer.getContext();
    gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4));
    const told = this.waiting;
    this.waiting = [];
    for (const drawn of told) drawn(performance.now() - begun);
  }

  private partAt(event: PointerEvent): Part | null {
    if (!this.body) return null;
    const box = this.canvas.getBoundingClientRect();
    const place = new Vector2(
      ((event.clientX - box.left) / box.width) * 2 - 1,
      1 - ((event.clientY - box.top) / box.height) * 2,
    );
    this.raycaster.setFromCamera(place, this.camera);
    const shown = this.parts().filter((part) => {
      const look = this.lookOf(part);
      return look === 'plain' || look === 'picked';
    });
    // The ray knows nothing of the cut: what the cut took away is passed over.
    const hit = this.raycaster
      .intersectObjects(shown.flatMap((part) => part.meshes), false)
      .find((found) => this.section.keeps(found.point));
    return hit ? this.body.partOf(hit.object) : null;
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
      if (still) this.events.picked(this.partAt(event)?.id ?? null);
    });
    this.canvas.addEventListener('pointermove', (event) => {
      if (event.buttons !== 0 || event.pointerType === 'touch') return;
      if (!hover) {
        requestAnimationFrame(() => {
          if (hover) this.events.hovered(this.partAt(hover)?.id ?? null);
          hover = null;
        });
      }
      hover = event;
    });
    this.canvas.addEventListener('pointerleave', () => {
      hover = null;
      this.events.hovered(null);
    });
    this.canvas.addEventListener('webglcontextrestored', () => this.ask());
  }
}
