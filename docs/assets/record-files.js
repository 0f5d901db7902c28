/* Files of records, out and in, and photographs. */
(function () {
  "use strict";
  if (!window.GuideRecord) return;
  const { make, download, library } = Guide;
  const { identifier, copyOf, sameText, nameOf, clean } = GuideRecord;

  const LONGEST_SIDE = 1600;
  const PICTURE_QUALITY = 0.8;
  const MOST_IN_ZIP = 2000;
  const LARGEST_ZIP = 300e6;
  const RECORD_IN_ZIP = /^records\/[^/\\]+\.json$/;
  const PHOTO_IN_ZIP = /^photos\/[a-z0-9-]+\/[a-z0-9-]+\.jpg$/;
  const NONE_TO_EXPORT = "There is no record to export here.";

  const textOf = (record) => JSON.stringify(record, null, 2) + "\n";
  const bytesOf = (dataUrl) => Uint8Array.from(atob(dataUrl.split(",")[1]), (letter) => letter.charCodeAt(0));

  function fileName(record) {
    const plain = String(record.name || "").toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "");
    return `${plain.slice(0, 40) || record.kind}-${record.id.slice(0, 12)}.json`;
  }

  /* Scaled down and drawn anew, which leaves every hidden line behind. */
  async function shrink(blob) {
    const picture = await createImageBitmap(blob, { imageOrientation: "from-image" });
    const scale = Math.min(1, LONGEST_SIDE / Math.max(picture.width, picture.height));
    const canvas = make("canvas");
    canvas.width = Math.max(1, Math.round(picture.width * scale));
    canvas.height = Math.max(1, Math.round(picture.height * scale));
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
    return { data: canvas.toDataURL("image/jpeg", PICTURE_QUALITY), width: canvas.width, height: canvas.height };
  }

  /* --- photographs of the open record --------------------------------------------------- */

  class Photos {
    constructor(app) {
      this.app = app;
      this.list = make("ul", { class: "record-photos" });
    }

    section() {
      return make("section", { class: "record-section", "aria-labelledby": "record-pictures" },
        make("h2", { id: "record-pictures" }, "Photographs"),
        make("p", { class: "record-help" }, "Scaled down and kept on this device, without the place where they were "
          + "taken. They travel only in a set that you export."),
        make("div", { class: "record-bar" },
          this.picker("record-camera", "Take a photograph", { capture: "environment" }),
          this.picker("record-picture", "Choose a picture", { multiple: "" })),
        this.list);
    }

    picker(id, words, more) {
      const input = make("input", { type: "file", accept: "image/*", id, ...more });
      input.addEventListener("change", async () => { await this.add([...input.files]); input.value = ""; });
      return make("div", { class: "field" }, make("label", { for: id }, words), input);
    }

    /* Changes the list of photographs in the open record. */
    change(how) {
      const record = copyOf(this.app.current.record);
      record.photos = how(record.photos);
      this.app.take(record);
    }

    async add(files) {
      const { app } = this;
      const most = Number(app.root.dataset.photos);
      const { current } = app;
      for (const file of files) {
        if (current.record.photos.length >= most) {
          app.tell(`A record holds ${most} photographs. Remove one first.`);
          break;
        }
        try {
          const { data, width, height } = await shrink(file);
          const photo = { id: identifier("p"), caption: "", width, height };
          await app.store.putPhoto(current.id, photo.id, data);
          if (!app.current || app.current.id !== current.id) {
            await app.store.dropPhoto(current.id, photo.id);
            app.tell(`“${nameOf(current.record)}” was closed before all pictures were in it. Open it, add the rest.`);
            return;
          }
          this.change((photos) => [...photos, photo]);
        } catch (error) {
          const why = Guide.isFull(error) ? "No room for this photograph in the browser's storage."
            : `“${file.name.slice(0, 60)}” is not a picture that this browser can read.`;
          app.tell(`${why} Nothing was changed.`);
        }
      }
      this.draw();
    }

    async draw() {
      if (!this.app.current) return;
      const { id, record } = this.app.current;
      const items = await Promise.all(record.photos.map((photo, index) => this.item(id, photo, index)));
      if (this.app.current && this.app.current.id === id) this.list.replaceChildren(...items);
    }

    async item(record, photo, index) {
      const data = await this.app.store.getPhoto(record, photo.id);
      const id = `record-caption-${index}`;
      const caption = make("input", { type: "text", id, maxlength: "200", autocomplete: "off" });
      caption.value = photo.caption;
      caption.addEventListener("input", () => this.change((photos) => photos.map(
        (each) => (each.id === photo.id ? { ...each, caption: clean(caption.value) } : each))));
      const { width, height } = photo;
      const picture = data ? make("img", { src: data, alt: photo.caption || `Photograph ${index + 1}`, width, height })
        : make("p", {}, "This picture is not on this device.");
      return make("li", { "data-photo": photo.id }, picture,
        make("label", { for: id }, `Caption of photograph ${index + 1}`), caption,
        this.app.sure("Remove the photograph", () => this.drop(photo.id)));
    }

    async drop(id) {
      this.change((photos) => photos.filter((photo) => photo.id !== id));
      await this.app.store.dropPhoto(this.app.current.id, id);
      this.draw();
    }
  }

  /* --- files out and in ---------------------------------------------------------------------- */

  class Files {
    constructor(app) {
      this.app = app;
      this.largest = 4 * Number(app.root.dataset.largest);
    }

    /* Needs no calculators: what is kept is the file. */
    exportOne(record, name = fileName(record)) {
      download(name, textOf(record));
    }

    async exportCsv(records) {
      if (!records.length) return this.app.tell(NONE_TO_EXPORT);
      return this.exportAs("text/csv;charset=utf-8", { do: "record-csv", records });
    }

    exportCalendar(record) {
      return this.exportAs("text/calendar;charset=utf-8", { do: "record-calendar", record });
    }

    async exportAs(type, request) {
      const answer = await this.app.ask(request);
      if (answer) download(answer.file, answer.text, type);
    }

    async exportZip(records) {
      if (!records.length) return this.app.tell(NONE_TO_EXPORT);
      const fflate = await library("fflate");
      const files = {};
      for (const record of records) {
        files[`records/${fileName(record)}`] = fflate.strToU8(textOf(record));
        for (const { id } of this.app.strange(record) ? [] : record.photos) {
          const data = await this.app.store.getPhoto(record.id, id);
          if (data) files[`photos/${record.id}/${id}.jpg`] = [bytesOf(data), { level: 0 }];
        }
      }
      download("records.zip", fflate.zipSync(files), "application/zip");
    }

    /* Each file stands for itself: those that can be read come in, the others are named with the reason. */
    async importAll(files) {
      const found = [];
      const photos = new Map();
      const records = [];
      const refused = [];
      const each = async (name, read) => {
        try { await read(); } catch (error) { refused.push(`${name}: ${error.message}`); }
      };
      for (const file of files) await each(file.name, () => this.open(file, found, photos));
      for (const { name, bytes } of found) {
        await each(name, async () => {
          const answer = await GuideEngine.call({ do: "record-read", data: Guide.base64(bytes) });
          if (!answer.record) throw new Error(answer.refused || answer.reason || answer.trouble || "not read");
          records.push(answer.record);
        });
      }
      if (!records.length && !refused.length) refused.push("no record was found in it");
      const told = records.length ? await this.takeIn(records, photos) : ["Not imported, and nothing was changed."];
      if (told) this.app.tell([...told, ...refused.map((each) => `Not taken: ${each}.`)].join(" "));
    }

    async open(file, found, photos) {
      if (/\.zip$/i.test(file.name)) return this.openZip(file, found, photos);
      if (file.size > this.largest) throw new Error("larger than a record can be");
      found.push({ name: file.name, bytes: new Uint8Array(await file.arrayBuffer()) });
    }

    async openZip(file, found, photos) {
      if (file.size > LARGEST_ZIP) throw new Error("larger than a set can be");
      const fflate = await library("fflate");
      let count = 0;
      let total = 0;
      const filter = ({ name, originalSize }) => {
        count += 1;
        total += originalSize;
        if (count > MOST_IN_ZIP || total > LARGEST_ZIP) throw new Error("it holds more than a set can");
        const record = RECORD_IN_ZIP.test(name);
        if (record && originalSize > this.largest) throw new Error(`${name} is larger than a record can be`);
        return record || PHOTO_IN_ZIP.test(name);
      };
      let parts;
      try {
        parts = fflate.unzipSync(new Uint8Array(await file.arrayBuffer()), { filter });
      } catch (error) {
        throw new Error(error.message || "it is damaged");
      }
      for (const [name, bytes] of Object.entries(parts)) {
        if (RECORD_IN_ZIP.test(name)) found.push({ name: `${file.name}, ${name}`, bytes });
        else photos.set(name.slice("photos/".length, -".jpg".length), bytes);
      }
    }

    async takeIn(records, photos) {
      const { app } = this;
      let here = 0;
      let beside = 0;
      let elsewhere = 0;
      const lost = [];
      for (const record of records) {
        const origin = record.id;
        const stored = await app.store.get(origin);
        if (stored && !stored.deleted && sameText(stored.record, record)) {
          here += 1;
          lost.push(...await this.takePhotos(record, origin, photos));
          continue;
        }
        if (stored) {
          beside += 1;
          record.id = identifier("r");
          record.name = `${nameOf(record)} (imported)`.slice(0, 200);
        }
        if (app.elsewhere(record)) elsewhere += 1;
        await app.add(record);
        lost.push(...await this.takePhotos(record, origin, photos));
      }
      if (app.failed) return null;
      app.drawList();
      const told = [`Imported: ${records.length - here}.`];
      if (here) told.push(`Already here, word for word: ${here}.`);
      if (beside) told.push(`Kept beside a record of the same id: ${beside}.`);
      const page = app.root.dataset.app === "test" ? "Test-day record" : "Your test";
      if (elsewhere) told.push(`In the list of the page “${page}”: ${elsewhere}.`);
      if (lost.some(Guide.isFull)) {
        told.push(`No room for photographs: ${lost.length}. Make room, then import the set again.`);
      } else if (lost.length) {
        told.push(`Photographs not kept: ${lost.length}. Import the set again.`);
      }
      return told;
    }

    /* The pictures of a set that are not on this device yet. Gives back why those were not kept that were not. */
    async takePhotos(record, origin, photos) {
      const { store } = this.app;
      const lost = [];
      for (const { id } of record.photos) {
        const bytes = photos.get(`${origin}/${id}`);
        if (!bytes || await store.getPhoto(record.id, id)) continue;
        /* A picture that is none: the record says that it is not on this device. */
        const made = await shrink(new Blob([bytes], { type: "image/jpeg" })).catch(() => null);
        if (made) await store.putPhoto(record.id, id, made.data).catch((error) => lost.push(error));
      }
      return lost;
    }
  }

  Object.assign(GuideRecord, { Photos, Files, shrink });
})();
