// Findings: sorted by weight, sifted by severity; one picked says more and leads to its place.

import type { Finding, Severity } from './api';
import { html, mm } from './dom';

const SEVERITIES: readonly Severity[] = ['error', 'warning', 'note'];

/** Rules whose figures are no lengths: gallons, areas, numbers and shares. Their sentence says them. */
const NO_LENGTHS = new Set(['tank-capacity', 'loose-metal', 'plate-parted', 'fold-order', 'order-circle', 'not-developable', 'coping-overhang']);

const countOf = (findings: Finding[], severity: Severity): number => findings.filter((finding) => finding.severity === severity).length;

/** "1 error, 2 warnings": what is not there is not counted up. */
export function countWords(findings: Finding[]): string {
  const count = (severity: Severity): string | null => {
    const n = countOf(findings, severity);
    return n === 0 ? null : `${n} ${severity}${n > 1 ? 's' : ''}`;
  };
  return SEVERITIES.map(count).filter((part) => part !== null).join(', ') || 'none';
}

/** By how much a rule is broken, where its figures are lengths. */
export function byHowMuch(finding: Finding): string | null {
  const { found_mm: found, limit_mm: limit, rule } = finding;
  if (found === null || limit === null || NO_LENGTHS.has(rule) || (found === 0 && limit === 0)) return null;
  return `${mm(found)} mm found, ${mm(limit)} mm asked for: ${mm(Math.abs(found - limit))} mm ${found < limit ? 'short' : 'over'}`;
}

export class FindingsList {
  private findings: Finding[] = [];
  private readonly shown = new Set<Severity>(SEVERITIES);
  private picked: Finding | null = null;
  private readonly filters = html('p', { class: 'filters', role: 'group', 'aria-label': 'Severities shown' });

  constructor(
    private readonly list: HTMLElement,
    private readonly goTo: (finding: Finding) => void,
  ) {
    list.before(this.filters);
  }

  fill(findings: Finding[]): void {
    this.findings = [...findings].sort((a, b) => SEVERITIES.indexOf(a.severity) - SEVERITIES.indexOf(b.severity));
    this.picked = null;
    this.filters.replaceChildren(...SEVERITIES.map((severity) => this.filter(severity)));
    this.filters.hidden = findings.length === 0;
    this.show();
  }

  private filter(severity: Severity): HTMLElement {
    const box = html('input', { type: 'checkbox', value: severity, checked: this.shown.has(severity) });
    box.addEventListener('change', () => {
      if (box.checked) this.shown.add(severity);
      else this.shown.delete(severity);
      this.show();
    });
    return html('label', {}, box, ` ${severity}s (${countOf(this.findings, severity)})`);
  }

  private show(): void {
    const focused = this.list.contains(document.activeElement) ? this.picked : null;
    this.list.replaceChildren(...this.findings.filter((finding) => this.shown.has(finding.severity)).map((finding) => this.item(finding)));
    const open = this.list.querySelector<HTMLElement>('[aria-expanded="true"]');
    if (focused) open?.focus();
    open?.parentElement?.scrollIntoView({ block: 'nearest' });
  }

  private item(finding: Finding): HTMLLIElement {
    const open = finding === this.picked;
    const button = html(
      'button',
      { type: 'button', class: 'plain', 'aria-expanded': String(open) },
      html('strong', { class: 'severity' }, finding.severity),
      ' ',
      html('span', {}, finding.sentence),
      ' ',
      html('code', { title: `rule: ${finding.rule}` }, finding.path),
    );
    button.addEventListener('click', () => {
      this.picked = open ? null : finding;
      this.show();
      if (!open) this.goTo(finding);
    });
    return html('li', { class: finding.severity }, button, open ? details(finding) : null);
  }
}

function details(finding: Finding): HTMLElement {
  const rows: [string, string][] = [];
  if (finding.asks) rows.push(['Rule', finding.asks]);
  const much = byHowMuch(finding);
  if (much) rows.push(['By', much]);
  if (finding.mend) rows.push(['Mend', finding.mend]);
  const { body_mm: body } = finding.at ?? { body_mm: null };
  if (body) rows.push(['Place', `${mm(body[0])} behind the front beam, ${mm(body[1])} to the left, ${mm(body[2])} above rail`]);
  return html('dl', { class: 'details' }, ...rows.flatMap(([name, words]) => [html('dt', {}, name), html('dd', {}, words)]));
}
