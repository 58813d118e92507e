// What stands in the drawers beside the sheet, each tied to the office by what it asks of it.

import { Artwork } from './artwork';
import type { BodyView } from './body-view';
import { byId } from './dom';
import { Drawers } from './drawers';
import { EditDesk } from './edit-desk';
import type { FlatView } from './flat-view';
import type { Office } from './office';
import { Output } from './output';
import { Running } from './running';

export class Side {
  readonly artwork: Artwork;
  private readonly drawers = new Drawers(byId('column'));

  constructor(office: Office, body: BodyView | null, flat: FlatView) {
    new EditDesk(office, body, (id) => this.drawers.open(id));
    const output = new Output(byId('output'), {
      reading: () => office.reading,
      picked: () => office.picked,
      say: (text) => office.say(text),
    });
    this.artwork = new Artwork(byId('artwork'), {
      reading: () => office.reading,
      nameOf: (id) => office.nameOf(id),
      pick: (id) => office.pick(id),
      say: (text) => office.say(text),
      showAsDrawn: (own) => void office.showInstead(own),
      redraw: () => flat.redraw(),
      open: () => this.drawers.open('artwork'),
    });
    const running = new Running(byId('running'), body, {
      reading: () => office.reading,
      models: () => office.allModels,
      say: (text) => office.say(text),
      pick: (id) => office.pick(id),
    });
    office.follow = () => {
      output.follow();
      running.follow();
    };
  }
}
