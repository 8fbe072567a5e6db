import { ResumableUpload, pendingUploads } from "/static/portal/js/upload.js";
import { pauseBefore } from "/static/portal/js/waiting.js";

const pieceBytes = Number(new URLSearchParams(location.search).get("piece")) || undefined;
window.told = [];
window.pauseBefore = pauseBefore;

/** @param {ResumableUpload} upload */
function follow(upload) {
  for (const name of ["progress", "waiting", "refused", "missing", "done"]) {
    upload.addEventListener(name, (event) => window.told.push([name, event.detail]));
  }
  window.upload = upload;
}

document.querySelector("#file").addEventListener("change", (event) => {
  follow(new ResumableUpload(event.target.files[0], { kind: "parcel", metadata: { club: "7-iron" }, pieceBytes }));
  window.upload.start();
});

window.goOn = async () => {
  const pending = await pendingUploads("parcel");
  if (pending.length) {
    follow(pending[0]);
    pending[0].start();
  }
  return pending.length;
};
document.body.dataset.ready = "";
