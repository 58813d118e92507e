// Which text the server is asked about: the model file, or the draft that the page is editing.

let drafted = { model: '', name: '' };

/** Name of the draft that stands in place of a model file; empty for the file itself. */
export const draftOf = (model: string): string => (drafted.model === model ? drafted.name : '');

export function setDraft(model: string, name: string): void {
  drafted = { model, name };
}

type Resend = () => Promise<boolean>;

let resend: Resend = () => Promise.resolve(false);

/** How a draft is sent again that the server has forgotten. */
export function whenForgotten(send: Resend): void {
  resend = send;
}

export const sendAgain = (): Promise<boolean> => resend();
