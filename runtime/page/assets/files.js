// files.js lists the output files as they stand on disk, each to look at or to download,
// and the links to print the flat blank at true size.
import { bytes, el, name, onChange, visible } from "./dom.js";

const papers = [["one", "On one sheet"], ["a4", "Tiled on A4"], ["letter", "Tiled on Letter"]];

export function mount(root, store, api) {
  const list = el("ul", { id: "files" });
  const note = el("p", { className: "remark" });
  const print = el("p", { id: "print" });
  root.append(print, note, list);

  const drawList = onChange((files) => list.replaceChildren(...files.map((file) => row(file, api))));
  const drawPrint = onChange((id, digest, piece) => print.replaceChildren("Print at true size: ", ...papers.map(([paper, words]) => {
    const query = new URLSearchParams({ paper, piece, digest });
    return el("a", { href: `print/${id}?${query}`, target: "_blank", rel: "noopener", textContent: words, data: { paper } });
  })));
  store.on(["status", "digest", "piece"], ({ status, digest, piece }) => {
    const files = status?.files ?? [];
    drawList([status?.id, files], files);
    note.textContent = noteOn(status, files);
    print.hidden = !digest;
    if (digest) drawPrint([status.id, digest, piece], status.id, digest, piece);
  });
}

function row(file, api) {
  const shown = visible(file.name);
  return el("li", {},
    el("a", {
      href: api.fileURL(file.name, true), download: file.name, data: { name: file.name },
      attr: { "aria-label": `Download ${shown}, ${bytes(file.size)}` },
    }, name(file.name)),
    el("span", { className: "size", textContent: bytes(file.size) }),
    /\.(svg|png|pdf|json|txt)$/i.test(file.name)
      ? el("a", { className: "look", href: api.fileURL(file.name), target: "_blank", rel: "noopener", textContent: "open", attr: { "aria-label": `Open ${shown} in a new tab` } })
      : null);
}

// noteOn says which run the files are of.
function noteOn(status, files) {
  if (!status || files.length === 0) return "There are no output files yet.";
  if (status.exit === 1) return "While there are errors, cut files stay as the last run without errors left them.";
  if (status.exit >= 2) return "While the script is at fault, files stay as the last good run left them.";
  return "The files as they stand on disk, made with the script’s own sizes.";
}
