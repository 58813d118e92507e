import type { Problem, ProblemPlace } from './api';
import { html } from './dom';

function placeWords(place: ProblemPlace): string {
  const words: string[] = [];
  if (place.line) words.push(`line ${place.line}`);
  if (place.column) words.push(`column ${place.column}`);
  return words.join(', ');
}

function placeItem(place: ProblemPlace): HTMLLIElement {
  const where = placeWords(place);
  return html(
    'li',
    {},
    where ? html('strong', {}, where) : null,
    where ? ': ' : null,
    place.path ? html('code', {}, place.path) : null,
    place.path ? ' ' : null,
    place.message,
    place.help ? html('p', { class: 'help' }, place.help) : null,
  );
}

/** Shows what is wrong, in the server's words, and where in the model file it stands. */
export function showProblem(panel: HTMLElement, problem: Problem): void {
  const places = problem.errors ?? [];
  panel.replaceChildren(html('h2', {}, problem.title));
  // The detail says the same as its places, in one piece.
  if (places.length === 0 && problem.detail && problem.detail !== problem.title) panel.append(html('p', {}, problem.detail));
  if (places.length > 0) panel.append(html('ol', {}, ...places.map(placeItem)));
  panel.hidden = false;
}

/** One line for the status and for tests. */
export function problemLine(problem: Problem): string {
  const first = problem.errors?.[0];
  if (!first) return problem.detail ? `${problem.title}: ${problem.detail}` : problem.title;
  const where = placeWords(first);
  return `${problem.title}: ${where ? `${where}: ` : ''}${first.message}`;
}

export function hideProblem(panel: HTMLElement): void {
  panel.hidden = true;
  panel.replaceChildren();
}
