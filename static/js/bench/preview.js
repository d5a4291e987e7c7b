/* A procedure looked at before any damper is worked by it: the page works as it does at the bench, and records nothing.

   What is tapped stays on this page and goes with it: no address is asked, nothing is put by in the tablet's storage. */

export class Inert {
  constructor(tell) {
    Object.assign(this, { tell, items: [], refused: [], lastStored: null, trouble: "", inert: true });
  }

  start() {}

  get kept() {
    return this.items;
  }

  add(entry) {
    this.items.push({ entry: { ...entry, counter: this.items.length + 1 }, refused: null });
    this.tell({ sheet: null, answers: [] });
  }

  discard(id) {
    this.items = this.items.filter((item) => item.entry.id !== id);
    this.tell({ sheet: null, answers: [] });
  }
}

/** Open what the owner asked to see: a step as it is recorded, whatever is before it, or a stage as it stands. */
export function lookAt(app, { stage, step }, panels) {
  const { model } = app;
  const found = model.sheet.steps.find((one) => String(one.id) === step);
  if (found && panels[found.kind]) {
    app.stage = found.stage;
    app.open(panels[found.kind](app, found), found.key);
  } else if (model.stage(stage).code) {
    app.goStage(stage);
  }
}
