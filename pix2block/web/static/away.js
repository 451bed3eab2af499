// The deeds at the foot: take back, and take away.

import * as api from "./api.js";
import { layBeside } from "./beside.js";
import { by, deed } from "./dom.js";
import { insteadDeeds, insteadOf } from "./instead.js";
import { keep, page, tell, whenShown } from "./page.js";

function showFoot() {
  const foot = by("foot");
  foot.replaceChildren(...insteadDeeds());
  const { back, again } = page.state;
  if (back) foot.append(deed(`Take back: ${back}`, () => keep(api.back(), `Taken back: ${back}`)));
  if (again) foot.append(deed(`Put again: ${again}`, () => keep(api.again(), `Put again: ${again}`)));
  if (insteadOf() !== "beside") foot.append(deed("Lay beside", layBeside));
  foot.append(deed("Take it away", showFiles));
}

async function showFiles() {
  const place = by("here");
  place.textContent = "The files are being written …";
  try {
    const [{ folder }, files] = await Promise.all([api.settle(), api.files()]);
    place.textContent = "";
    const told = document.createElement("p"), all = document.createElement("a");
    all.href = "/files.zip";
    all.className = "deed";
    all.textContent = "All as one zip";
    told.append(`They are in the folder ${folder}. `, all);
    const list = document.createElement("ul");
    list.className = "files";
    for (const file of files) {
      const item = document.createElement("li"), link = document.createElement("a");
      link.href = `/files/${encodeURIComponent(file.name)}`;
      link.target = "_blank";
      link.rel = "noopener";
      link.textContent = file.name;
      item.append(link, ` ${file.purpose}`);
      list.append(item);
    }
    place.append(told, list, deed("Work from it beside the hook", openHookside), " ", deed("To a phone in this home", sendToPhone));
  } catch (error) { tell(error); }
}

/** The hookside page in a tab of its own, at an address where it keeps how far the piece is. */
async function openHookside() {
  const tab = window.open("", "_blank");
  try {
    const { link } = await api.hookside();
    if (tab) tab.location.href = `${link}hookside.html`;
    else location.href = `${link}hookside.html`;
  } catch (error) { tab?.close(); tell(error); }
}

async function sendToPhone() {
  const place = by("here");
  try {
    const { link, code } = await api.phone();
    place.textContent = "";
    const told = document.createElement("p"), address = document.createElement("a");
    address.href = link;
    address.textContent = link;
    told.append("Point the phone's camera here, in the same home network; it is open to whoever has this address, for an hour at most: ", address);
    const picture = document.createElement("img");
    picture.src = code;
    picture.alt = `QR code of ${link}`;
    picture.className = "code";
    place.append(told, picture, document.createElement("br"), deed("Stop sending", () => {
      api.stopPhone().then(() => { place.textContent = "Nothing is sent any more."; }).catch(tell);
    }));
  } catch (error) { tell(error); }
}

whenShown(showFoot);
