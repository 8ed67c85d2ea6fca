"""Pages in a real browser: shown in frames of a given width, measured by the page around them."""

import json
import subprocess
from collections.abc import Sequence
from importlib import import_module
from pathlib import Path
from typing import Any

html: Any = import_module("lxml.html")


PHONE, DESKTOP = 360, 1280
"""Widths in CSS pixels; 360 is that of the commonest phones (rule of thumb)."""
DARK = "--blink-settings=preferredColorScheme=0"

_AROUND = """<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><title>around</title></head>
<body><pre id="result"></pre><script>
const pages = %s, widths = %s, results = {};
const show = () => document.getElementById("result").textContent = JSON.stringify(results);
for (const width of widths) {
  const frame = document.createElement("iframe");
  frame.style.cssText = `border:0;width:${width}px;height:2000px`;
  frame.srcdoc = pages[0];
  frame.onload = async () => {
    const page = frame.contentDocument, window_ = frame.contentWindow, told = {};
    %s
    const style = window_.getComputedStyle(page.body);
    const wide = [...page.querySelectorAll("*")].filter(
      one => one.getBoundingClientRect().right > width + 0.5);
    results[width] = {
      scroll: page.documentElement.scrollWidth, title: page.title,
      background: style.backgroundColor, ink: style.color, margin: style.margin,
      wide: wide.map(one => one.outerHTML.slice(0, 200)),
      scripts: page.scripts.length, ran: window_.ran === true, told,
    };
    if (window_.axe) results[width].axe = (await window_.axe.run(page)).violations.map(
      one => [one.id, one.nodes.map(node => node.html.slice(0, 200))]);
    show();
  };
  document.body.append(frame);
}
</script></body></html>
"""


def show_page(
    chromium: str,
    folder: Path,
    page: str,
    *flags: str,
    axe: str = "",
    extra: str = "",
    widths: Sequence[int] = (PHONE, DESKTOP),
    act: str = "",
) -> dict[int, dict[str, Any]]:
    """What the browser says of a page at these widths.

    `act` is a script of the page around, which may use `page`, `window_` and put what it finds into
    `told`.

    `axe` is the source of axe-core: the page's own policy, if any, is then taken out, since it
    forbids all scripts. `extra` is markup put at the end of the body as if it had come through.
    """
    if axe:
        start, _, rest = page.partition('<meta http-equiv="Content-Security-Policy"')
        page = start + rest.partition(">")[2]
        page = page.replace("</head>", f"<script>{axe}</script></head>", 1)
    page = page.replace("</body>", extra + "</body>")
    source = folder / "around.html"
    source.write_text(_AROUND % (_script([page]), _script(list(widths)), act), encoding="utf-8")
    command = [chromium, "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", *flags]
    command += [f"--user-data-dir={folder / 'browser'}", "--virtual-time-budget=20000"]
    command += ["--window-size=1400,2000", "--dump-dom", source.as_uri()]
    done = subprocess.run(command, check=True, capture_output=True, timeout=120)
    (result,) = html.fromstring(done.stdout.decode("utf-8")).xpath('//pre[@id="result"]')
    return {int(width): found for width, found in json.loads(result.text_content()).items()}


def print_page(chromium: str, folder: Path, page: str, *flags: str) -> bytes:
    """A page as the browser prints it into a PDF."""
    source, target = folder / "page.html", folder / "page.pdf"
    source.write_text(page, encoding="utf-8")
    command = [chromium, "--headless", "--no-sandbox", "--disable-gpu", *flags]
    command += [f"--user-data-dir={folder / 'browser'}", f"--print-to-pdf={target}"]
    subprocess.run([*command, source.as_uri()], check=True, capture_output=True, timeout=120)
    return target.read_bytes()


def _script(value: Any) -> str:
    """A value as it may stand within a script element."""
    return json.dumps(value).replace("<", "\\u003c")
