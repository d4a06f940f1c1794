#!/usr/bin/env python3
"""The page and the tables of a report, looked at from outside: a browser, a general reader of described tables.

    python tests/browser/check.py FOLDER        FOLDER holds report.html, tables/, samples.parquet

Needs chromium and its driver (Debian: chromium, chromium-driver) and requirements.txt. Contrast and markup are judged
by axe-core (rules tagged WCAG 2.0 to 2.2, A and AA), the tables' description by `csvw`; the values that a chart reads
out are compared with the tables and samples as a plain reader reads them.
"""

import csv
import functools
import json
import math
import pathlib
import re
import shutil
import sys
import unittest
from datetime import datetime, timezone

import axe_core_python
import csvw
import polars
from selenium import webdriver
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import WebDriverWait

PHONE, DESK = (390, 844), (1440, 900)
PATIENCE_S = 600
AXE = (pathlib.Path(axe_core_python.__file__).parent / "axe.min.js").read_text(encoding="utf-8")
REPORT: pathlib.Path
MONTHS = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split()


def browser():
    options = webdriver.ChromeOptions()
    options.binary_location = shutil.which("chromium")
    for argument in ["--headless=new", "--no-sandbox", "--disable-dev-shm-usage", "--hide-scrollbars"]:
        options.add_argument(argument)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    driver = webdriver.Chrome(options, webdriver.ChromeService(shutil.which("chromedriver")))
    driver.set_script_timeout(PATIENCE_S)
    driver.command_executor.client_config.timeout = PATIENCE_S
    return driver


def table(name):
    with open(REPORT / "tables" / f"{name}.csv", newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def plain(text):
    """A number as the page writes it, as a number."""
    return float(re.search(r"-?\d+(?:\.\d+)?", text.replace("−", "-")).group())


@functools.cache
def dates():
    """How dates are written."""
    return json.loads((REPORT / "manifest.json").read_text(encoding="utf-8"))["settings"]["dates"]


def wall(local):
    """Date and time of day of a wall time, as the page writes them: in the style that the manifest names."""
    if isinstance(local, str):
        local = datetime.fromisoformat(local)
    month = MONTHS[local.month - 1]
    date = {"day_month": f"{local.day} {month}", "month_day": f"{month} {local.day}", "iso": f"{local:%Y-%m-%d}"}[dates()]
    return f"{date} {local:%H:%M}"


class Page(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.driver = browser()

    @classmethod
    def tearDownClass(cls):
        cls.driver.quit()

    def open(self, size=DESK, scheme="light", motion="no-preference", media="screen", script=True):
        width, height = size
        cdp = self.driver.execute_cdp_cmd
        metrics = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": size == PHONE}
        cdp("Emulation.setDeviceMetricsOverride", metrics)
        features = [
            {"name": "prefers-color-scheme", "value": scheme},
            {"name": "prefers-reduced-motion", "value": motion},
        ]
        cdp("Emulation.setEmulatedMedia", {"media": media, "features": features})
        cdp("Emulation.setScriptExecutionDisabled", {"value": not script})
        self.driver.get_log("performance")
        self.driver.get((REPORT / "report.html").resolve().as_uri())
        if script:
            WebDriverWait(self.driver, 60).until(lambda d: d.execute_script("return document.readyState") == "complete")

    def js(self, script, *arguments):
        return self.driver.execute_script(script, *arguments)

    def css(self, selector):
        return self.driver.find_elements(By.CSS_SELECTOR, selector)

    # ---- The file.

    def test_no_message_on_the_console_and_no_request_leaves_the_file(self):
        self.open()
        self.point_at_every_chart()
        faults = [entry for entry in self.driver.get_log("browser") if entry["level"] in ("SEVERE", "WARNING")]
        self.assertEqual(faults, [])
        events = [json.loads(entry["message"])["message"] for entry in self.driver.get_log("performance")]
        asked = [e["params"]["request"]["url"] for e in events if e["method"] == "Network.requestWillBeSent"]
        own = (REPORT / "report.html").resolve().as_uri()
        self.assertIn(own, asked)
        self.assertEqual([url[:80] for url in asked if url != own and not url.startswith("data:")], [])

    def point_at_every_chart(self):
        for drawing in self.css(".drawing"):
            self.js("arguments[0].scrollIntoView({block: 'center'})", drawing)
            webdriver.ActionChains(self.driver).move_to_element(drawing).perform()

    def test_the_policy_lets_nothing_else_run(self):
        self.open()
        self.js("const s = document.createElement('script'); s.textContent = 'window.ran = 1'; document.body.append(s)")
        self.assertIsNone(self.js("return window.ran"))

    def test_it_is_set_in_the_faces_it_carries(self):
        self.open()
        loaded = self.js("return [...document.fonts].filter(f => f.status === 'loaded').map(f => f.family + f.weight)")
        self.assertEqual(sorted(loaded), ["Inter400", "Inter600"])

    # ---- Reading it.

    def test_nothing_scrolls_sideways(self):
        for size in (PHONE, DESK):
            self.open(size)
            room, used = self.js("const d = document.documentElement; return [d.clientWidth, d.scrollWidth]")
            self.assertEqual(room, size[0])
            self.assertLessEqual(used, room)

    def test_every_chart_says_in_words_what_it_shows(self):
        self.open()
        charts = self.css(".drawing > svg")
        self.assertEqual(len(charts), len(list((REPORT / "charts").glob("*.svg"))))
        for chart in charts:
            self.assertEqual(chart.get_attribute("role"), "img")
            names = chart.get_attribute("aria-labelledby").split()
            words = [self.js("return document.getElementById(arguments[0]).textContent", name) for name in names]
            self.assertEqual(len(words), 2)
            self.assertTrue(all(len(text) > 10 for text in words), words)

    def test_headings_landmarks_and_scopes(self):
        self.open()
        levels = [int(heading.tag_name[1]) for heading in self.css("h1, h2, h3, h4, h5")]
        self.assertEqual(levels.count(1), 1)
        self.assertTrue(all(after <= before + 1 for before, after in zip(levels, levels[1:])), levels)
        for landmark in ("header", "nav", "main"):
            self.assertEqual(len(self.css(landmark)), 1)
        self.assertEqual(self.css("main th:not([scope])"), [])
        self.assertEqual(len(self.css("main table")), len(self.css("main table > caption")))
        self.js("document.body.focus()")
        webdriver.ActionChains(self.driver).send_keys(Keys.TAB).perform()
        self.assertEqual(self.driver.switch_to.active_element.get_attribute("class"), "skip")
        broken = "return [...document.querySelectorAll('a[href]')].map(a => a.getAttribute('href'))" \
                 ".filter(h => !h.startsWith('#') || !document.getElementById(h.slice(1)))"
        self.assertEqual(self.js(broken), [])

    def test_a_general_checker_of_accessibility_finds_nothing(self):
        """What is inside a drawing is left to the tests below: thousands of shapes that say nothing by themselves."""
        tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
        everything, contrast_only = {"runOnly": tags}, {"runOnly": {"type": "rule", "values": ["color-contrast"]}}
        for size, scheme, rules in ((DESK, "light", everything), (PHONE, "dark", contrast_only)):
            self.open(size, scheme)
            self.js(AXE)
            found = self.driver.execute_async_script(
                "const done = arguments[1]; axe.run({exclude: [['.drawing > svg *']]},"
                " {...arguments[0], resultTypes: ['violations'], elementRef: false})"
                ".then(r => done(r.violations.map(v => [v.id, v.help, v.nodes.slice(0, 3).map(n => n.html.slice(0, 160)"
                " + ' ' + (n.any[0] ? n.any[0].message : ''))])), e => done([String(e)]))",
                rules,
            )
            self.assertEqual(found, [], f"{size} {scheme}: {json.dumps(found, indent=1)}")

    def test_texts_of_charts_stand_out(self):
        """WCAG 2.2, 1.4.3: 4.5:1, for text of a drawing against what it is drawn on."""
        for scheme in ("light", "dark"):
            self.open(DESK, scheme)
            pairs = self.js("""
                const colour = (node) => getComputedStyle(node).fill;
                const found = new Set();
                for (const svg of document.querySelectorAll(".drawing > svg")) {
                  const paper = colour(svg.querySelector(".paper"));
                  const solid = svg.querySelector(".needed rect");
                  for (const text of svg.querySelectorAll("text, tspan")) {
                    const ink = colour(text);
                    found.add(JSON.stringify([ink, ink === paper && solid ? colour(solid) : paper]));
                  }
                }
                return [...found].map((pair) => JSON.parse(pair));""")
            self.assertGreaterEqual(len(pairs), 2)
            for ink, paper in pairs:
                self.assertGreaterEqual(contrast(rgb(ink), rgb(paper)), 4.5, f"{scheme}: {ink} on {paper}")

    def test_dark_charts_are_dark_and_print_is_light(self):
        paper = "return getComputedStyle(document.querySelector('.drawing .paper')).fill"
        self.open(DESK, "dark")
        self.assertLess(luminance(rgb(self.js(paper))), 0.05)
        self.assertLess(luminance(rgb(self.js("return getComputedStyle(document.body).backgroundColor"))), 0.05)
        self.open(DESK, "dark", media="print")
        self.assertGreater(luminance(rgb(self.js(paper))), 0.95)
        self.assertEqual(self.js("return getComputedStyle(document.querySelector('nav')).display"), "none")

    def test_motion_is_reduced_where_asked(self):
        behaviour = "return getComputedStyle(document.documentElement).scrollBehavior"
        self.open(motion="reduce")
        self.assertEqual(self.js(behaviour), "auto")

    def test_it_reads_without_script(self):
        self.open(script=True)
        texts = self.js("return [document.querySelectorAll('.drawing > svg').length, "
                        "document.querySelectorAll('main tbody tr').length]")
        self.open(script=False)
        # The driver looks from outside: script of the page stays off.
        tree = self.driver.execute_cdp_cmd("DOM.getDocument", {"depth": -1})["root"]
        html = self.driver.execute_cdp_cmd("DOM.getOuterHTML", {"nodeId": tree["nodeId"]})["outerHTML"]
        self.assertNotIn('class="sort"', html)
        self.assertNotIn('class="live"', html)
        body = html[html.index("<main>") : html.index("</main>")]
        self.assertEqual(len(re.findall(r"<svg[^>]*role=\"img\"", body)), texts[0])
        rows = [part for part in body.split("<tbody>")[1:]]
        self.assertEqual(sum(part.split("</tbody>")[0].count("<tr") for part in rows), texts[1])
        self.driver.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": False})

    # ---- Charts that answer.

    def geometry(self):
        return json.loads(self.js("return document.getElementById('chart-answers').textContent"))["charts"]

    def point(self, chart, area, second):
        """Points at a second of an area's time axis and returns what is read out."""
        svg = self.css(f"#figure-{chart['id']} .drawing > svg")[0]
        self.js("arguments[0].scrollIntoView({block: 'center', behavior: 'instant'})", svg)
        return self.js("""
            const [svg, area, share] = arguments;
            const box = svg.getBoundingClientRect();
            const px = box.width / svg.viewBox.baseVal.width * 10;
            const place = {
              clientX: box.left + (area.left + area.width * share) * px,
              clientY: box.top + (area.top + area.height / 2) * px,
              pointerType: "mouse", bubbles: true,
            };
            svg.dispatchEvent(new PointerEvent("pointermove", place));
            const out = svg.closest("figure").querySelector(".readout");
            if (out.hidden) return null;
            const said = [...out.querySelectorAll("dl div")].map((d) => [d.querySelector("dt").textContent, d.querySelector("dd").textContent]);
            return { when: out.querySelector(".when").textContent, said };
            """, svg, area, second / chart["length"])

    def test_a_point_reads_out_the_value_of_the_table(self):
        self.open()
        readings = {}
        for row in table("readings"):
            if row["decides"] == "yes" and row["kind"] == "measured":
                readings.setdefault(row["point"], []).append(row)
        compared = 0
        for chart in (c for c in self.geometry() if c["id"].startswith("readings-")):
            for area in chart["areas"]:
                for row in readings.get(area["title"].removeprefix("Point "), []):
                    second = datetime.fromisoformat(row["time"]).timestamp() - chart["from"]
                    if not 0 <= second <= chart["length"]:
                        continue
                    read = self.point(chart, area, second)
                    said = dict(read["said"])["reading"]
                    self.assertIn(wall(row["time"]), read["when"])
                    self.assertAlmostEqual(plain(said), float(row["value_scale_unit"]), delta=0.005, msg=area["title"])
                    self.assertIn(row["scale_unit"], said)
                    compared += 1
        self.assertGreater(compared, 20)

    def test_a_line_reads_out_the_logged_sample(self):
        """Temperature and humidity at an instant, against samples.parquet (degC, %RH) by the loggers' labels."""
        self.open()
        frame = polars.read_parquet(REPORT / "samples.parquet")
        labels = {}
        for row in table("daily_air"):
            labels.setdefault(row["air"].split(",")[0], set()).add(row["logger"])
        fahrenheit = "air_temp_mean_f" in table("daily_air")[0]
        compared = 0
        for chart in (c for c in self.geometry() if c["id"].startswith("temperature-humidity-")):
            area = chart["areas"][0]
            for step in range(1, 12):
                read = self.point(chart, area, chart["length"] * step / 12)
                for group in area["groups"]:
                    quantity = "rh_pct" if group["unit"] == "%" else "air_temp_c"
                    for member in group["members"]:
                        loggers = labels.get(member["name"].split(",")[0], set())
                        if len(loggers) != 1 or "dew point" in member["name"]:
                            continue
                        own = frame.filter(polars.col("logger").cast(polars.String) == next(iter(loggers)))
                        said = [text for name, text in read["said"] if name == member["name"] and text.endswith(group["unit"])]
                        if not said or own[quantity].null_count() == len(own):
                            continue
                        zone = self.zone(chart["from"] + chart["length"] * step / 12)
                        wanted = own.filter(self.written(read["when"], own, zone))[quantity].to_list()
                        if len(wanted) != 1 or wanted[0] is None:
                            continue
                        value = wanted[0] * 9 / 5 + 32 if fahrenheit and quantity == "air_temp_c" else wanted[0]
                        # One decimal is shown.
                        self.assertLessEqual(abs(plain(said[0]) - value), 0.05 + 1e-9, f"{chart['id']} {member['name']} {read}")
                        compared += 1
        self.assertGreater(compared, 20)

    def zone(self, epoch_s):
        offsets = json.loads(self.js("return document.getElementById('chart-answers').textContent"))["zone"]
        return [offset for offset in offsets if offset[0] <= epoch_s or offset is offsets[0]][-1][1]

    @staticmethod
    def written(when, own, offset_s):
        """Samples whose wall time is written so."""
        local = own["time"].cast(polars.Datetime("us")) + polars.duration(seconds=offset_s)
        return polars.lit(polars.Series([wall(t) in when for t in polars.select(local).to_series()]))

    def states(self):
        """Charts of states, each with its drawing and with the place of every state on the screen."""
        for chart in (c for c in self.geometry() if "plane" in c):
            svg = self.css(f"#figure-{chart['id']} .drawing > svg")[0]

            def place(state, axes=chart["plane"]["axes"]):
                ends = [(axis["from"], axis["to"], 10 ** axis["decimals"]) for axis in axes]
                return [at + (value / scale - near) / (far - near) * (to - at)
                        for value, ((near, at), (far, to), scale) in zip(state[1:], ends)]

            yield chart, svg, place

    def read_state(self, svg, spot):
        self.js("arguments[0].scrollIntoView({block: 'center', behavior: 'instant'})", svg)
        return self.js("""
            const [svg, [x, y]] = arguments;
            const box = svg.getBoundingClientRect();
            const px = box.width / svg.viewBox.baseVal.width * 10;
            const place = { clientX: box.left + x * px, clientY: box.top + y * px, pointerType: "mouse", bubbles: true };
            svg.dispatchEvent(new PointerEvent("pointermove", place));
            const out = svg.closest("figure").querySelector(".readout");
            if (out.hidden) return null;
            const said = [...out.querySelectorAll("dl div")].map((d) => [d.querySelector("dt").textContent, d.querySelector("dd").textContent]);
            return { when: out.querySelector(".when").textContent, said };
            """, svg, spot)

    def test_a_state_reads_out_the_mean_of_its_hour(self):
        """Against samples.parquet: the mean of the hour's temperatures, and of the water they and the humidities hold."""
        self.open()
        frame = polars.read_parquet(REPORT / "samples.parquet")
        labels = {}
        for row in table("daily_air"):
            labels.setdefault(row["air"], set()).add(row["logger"])
        fahrenheit = "air_temp_mean_f" in table("daily_air")[0]
        pressure = json.loads((REPORT / "summary.json").read_text(encoding="utf-8"))["evidence"]["pressure"]["pressure_pa"]
        compared = 0
        for chart, svg, place in list(self.states())[1:4]:
            for series in chart["plane"]["series"]:
                loggers = labels.get(series["name"], set())
                if len(loggers) != 1:
                    continue
                own = frame.filter(polars.col("logger").cast(polars.String) == next(iter(loggers)))
                for state in series["states"][3::8]:
                    read = self.read_state(svg, place(state))
                    self.assertIsNotNone(read, f"{chart['id']} {series['name']} {state} at {place(state)}")
                    start = chart["from"] + state[0]
                    local = datetime.fromtimestamp(start + self.zone(start), timezone.utc).isoformat()
                    if read["said"][0][0] != series["name"] or f"{wall(local)}–" not in read["when"]:
                        continue  # Another state lies on the same spot.
                    second = own["time"].dt.epoch("s")
                    hour = own.filter((second >= start) & (second < start + chart["plane"]["each"])).drop_nulls("rh_pct")
                    temp = hour["air_temp_c"].mean()
                    water = sum(map(lambda t, rh: gpp(t, rh, pressure), hour["air_temp_c"], hour["rh_pct"])) / len(hour)
                    wanted = (temp * 9 / 5 + 32, water) if fahrenheit else (temp, water / 7)
                    for (name, said), value, axis in zip(read["said"][1:], wanted, chart["plane"]["axes"]):
                        self.assertEqual(name, axis["name"])
                        self.assertTrue(said.endswith(axis["unit"]), said)
                        # Half of the last decimal, and what the equations' rounding leaves.
                        self.assertLessEqual(abs(plain(said) - value), 0.5 / 10 ** axis["decimals"] + 0.005, f"{series['name']} {read}")
                    compared += 1
        self.assertGreater(compared, 10)

    def test_keys_and_fingers_read_states(self):
        # Without motion, so that nothing still scrolls when a finger is put down.
        self.open(PHONE, motion="reduce")
        chart, svg, place = next(self.states())
        drawing = self.css(f"#figure-{chart['id']} .drawing")[0]
        self.js("arguments[0].focus()", drawing)
        when = f"return document.querySelector('#figure-{chart['id']} .when').textContent"
        name = f"return document.querySelector('#figure-{chart['id']} dt').textContent"
        seen = []
        for key in (Keys.HOME, Keys.ARROW_RIGHT, Keys.ARROW_RIGHT, Keys.END, Keys.ARROW_LEFT):
            drawing.send_keys(key)
            seen.append(self.js(when))
        self.assertEqual(len(set(seen)), len(seen), seen)
        before = self.js(name)
        drawing.send_keys(Keys.ARROW_DOWN)
        self.assertNotEqual(self.js(name), before)
        readout = self.css(f"#figure-{chart['id']} .readout")[0]
        self.assertEqual(readout.get_attribute("aria-live"), "polite")
        drawing.send_keys(Keys.ESCAPE)
        self.assertFalse(readout.is_displayed())
        self.js("arguments[0].scrollIntoView({block: 'center', behavior: 'instant'})", svg)
        state = chart["plane"]["series"][0]["states"][0]
        # On a phone a drawing is wider than the screen and scrolls.
        spot = self.js("""
            const [svg, [x, y]] = arguments;
            const px = svg.getBoundingClientRect().width / svg.viewBox.baseVal.width * 10;
            svg.parentElement.scrollLeft = x * px - 150;
            const box = svg.getBoundingClientRect();
            return { x: box.left + x * px, y: box.top + y * px };
            """, svg, place(state))
        for kind, points in (("touchStart", [spot]), ("touchEnd", [])):
            self.driver.execute_cdp_cmd("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
        webdriver.ActionChains(self.driver).pause(0.4).perform()
        self.assertTrue(readout.is_displayed())
        before = self.js(when)
        self.css(f"#figure-{chart['id']} .steps button")[1].click()
        self.assertNotEqual(self.js(when), before)

    def test_keys_step_through_a_chart(self):
        self.open()
        chart = next(c for c in self.geometry() if c["id"].startswith("air-"))
        drawing = self.css(f"#figure-{chart['id']} .drawing")[0]
        self.js("arguments[0].focus()", drawing)
        when = f"return document.querySelector('#figure-{chart['id']} .when').textContent"
        seen = []
        for key in (Keys.HOME, Keys.ARROW_RIGHT, Keys.ARROW_RIGHT, Keys.PAGE_DOWN, Keys.END, Keys.ARROW_LEFT):
            drawing.send_keys(key)
            seen.append(self.js(when))
        self.assertEqual(len(set(seen)), len(seen), seen)
        readout = self.css(f"#figure-{chart['id']} .readout")[0]
        self.assertEqual(readout.get_attribute("aria-live"), "polite")
        self.assertTrue(readout.is_displayed())
        drawing.send_keys(Keys.ESCAPE)
        self.assertFalse(readout.is_displayed())

    def test_a_finger_reads_a_chart(self):
        self.open(PHONE)
        chart = next(c for c in self.geometry() if c["id"].startswith("air-"))
        svg = self.css(f"#figure-{chart['id']} .drawing > svg")[0]
        self.js("arguments[0].scrollIntoView({block: 'center', behavior: 'instant'})", svg)
        box = self.js("const b = arguments[0].getBoundingClientRect(); return [b.left, b.top, b.height]", svg)
        spot = {"x": 200, "y": box[1] + box[2] * 0.3}
        for kind, points in (("touchStart", [spot]), ("touchEnd", [])):
            self.driver.execute_cdp_cmd("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
        webdriver.ActionChains(self.driver).pause(0.4).perform()
        readout = self.css(f"#figure-{chart['id']} .readout")[0]
        self.assertTrue(readout.is_displayed())
        left, right, bottom = self.js("const b = arguments[0].getBoundingClientRect(); return [b.left, b.right, b.bottom]", readout)
        self.assertTrue(left >= 0 and right <= PHONE[0] and bottom <= PHONE[1] + 1, (left, right, bottom))
        before = self.css(f"#figure-{chart['id']} .when")[0].text
        later = self.css(f"#figure-{chart['id']} .steps button")[1]
        self.assertGreaterEqual(later.size["height"], 24, "WCAG 2.2, 2.5.8")
        later.click()
        self.assertNotEqual(self.css(f"#figure-{chart['id']} .when")[0].text, before)

    # ---- Tables.

    def test_tables_sort_by_keyboard(self):
        self.open()
        sorted_tables = 0
        for found in self.css("main table"):
            head = found.find_elements(By.CSS_SELECTOR, "thead th.end .sort")
            if not head:
                continue
            head = head[0]
            column = self.js("return arguments[0].closest('th').cellIndex", head)
            texts = "return [...arguments[0].tBodies].map(b => [...b.rows].filter(r => !r.matches('.group, .total'))" \
                    ".map(r => r.cells[arguments[1]].textContent.trim()))"
            before = self.js(texts, found, column)
            self.js("arguments[0].focus()", head)
            for order, sign in (("ascending", 1), ("descending", -1)):
                head.send_keys(Keys.ENTER if sign == 1 else Keys.SPACE)
                self.assertEqual(self.js("return arguments[0].closest('th').getAttribute('aria-sort')", head), order)
                for part in self.js(texts, found, column):
                    numbers = [sign * plain(text) for text in part if re.match(r"^[≤>+\s]*[−-]?\d", text)]
                    self.assertEqual(numbers, sorted(numbers))
            head.send_keys(Keys.ENTER)
            self.assertEqual(self.js(texts, found, column), before)
            sorted_tables += 1
        self.assertGreater(sorted_tables, 3)


class Tables(unittest.TestCase):
    def test_a_general_reader_of_described_tables_reads_every_table(self):
        group = csvw.TableGroup.from_file(REPORT / "tables" / "csv-metadata.json")
        self.assertEqual(len(group.tables), len(list((REPORT / "tables").glob("*.csv"))))
        rows = 0
        for described in group.tables:
            found = list(described.iterdicts(strict=True))
            self.assertEqual(len(found), len(table(str(described.url).removesuffix(".csv"))))
            rows += len(found)
        self.assertGreater(rows, 100)


def gpp(temp_c, rh_pct, pressure_pa):
    """Grains of water per pound of dry air, humidity over liquid water at every temperature.

    ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 6, 12 and 20.
    """
    t = temp_c + 273.15
    saturation = math.exp(
        -5.8002206e3 / t + 1.3914993 - 4.8640239e-2 * t + 4.1764768e-5 * t**2 - 1.4452093e-8 * t**3 + 6.5459673 * math.log(t)
    )
    vapour = rh_pct / 100 * saturation
    return 7000 * 0.621945 * vapour / (pressure_pa - vapour)


def rgb(text):
    return [float(part) for part in re.findall(r"[\d.]+", text)[:3]]


def luminance(colour):
    """WCAG 2.2, relative luminance."""
    def part(byte):
        share = byte / 255
        return share / 12.92 if share <= 0.04045 else math.pow((share + 0.055) / 1.055, 2.4)

    red, green, blue = map(part, colour)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one, other):
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


if __name__ == "__main__":
    REPORT = pathlib.Path(sys.argv.pop(1))
    unittest.main(verbosity=2)
