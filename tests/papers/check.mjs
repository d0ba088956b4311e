// Holds the sheets in this folder against what others made: see run.sh.
import assert from 'node:assert/strict';
import { readFileSync, readdirSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';
import { HtmlValidate } from 'html-validate';
import MarkdownIt from 'markdown-it';

const require = createRequire(import.meta.url);
const AXE = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
const here = import.meta.dirname ?? process.cwd();
const sheets = readdirSync(here).filter(name => name.endsWith('.html')).sort();
let passed = 0;
const failures = [];

async function test(name, check) {
  try {
    await check();
    passed += 1;
  } catch (error) {
    failures.push(name);
    console.error(`FAILED ${name}\n${error.message}\n`);
  }
}

assert.ok(sheets.length >= 5, `sheets to look at: ${sheets}`);

// The standard, as html-validate reads it.
const validator = new HtmlValidate({
  extends: ['html-validate:recommended'],
  rules: {
    // Long lines and blanks at their ends are no matter of the standard.
    'long-title': 'off',
    'no-trailing-whitespace': 'off',
    // An `id` is what the standard says: at least one character, and no blank.
    'valid-id': ['error', { relaxed: true }],
  },
});
for (const sheet of sheets) {
  await test(`${sheet} is valid`, async () => {
    const report = await validator.validateString(readFileSync(join(here, sheet), 'utf8'));
    const said = report.results.flatMap(r => r.messages).map(m => `${m.line}:${m.column} ${m.ruleId}: ${m.message}`);
    assert.deepEqual(said.slice(0, 20), []);
  });
}

const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  args: ['--no-sandbox', '--disable-gpu', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
});

async function opened(sheet, options = {}) {
  const context = await browser.newContext(options);
  const page = await context.newPage();
  const asked = [];
  page.on('request', request => asked.push(request.url()));
  const url = pathToFileURL(join(here, sheet)).href;
  await page.goto(url, { waitUntil: 'load' });
  return { context, page, asked, url };
}

/** What sticks out of the page to the right. */
const overflow = page => page.evaluate(() => {
  const wide = document.documentElement.clientWidth;
  const out = [...document.querySelectorAll('body *')].filter(e => e.getBoundingClientRect().right > wide + 1 && !e.closest('thead'));
  return { page: document.documentElement.scrollWidth - wide, out: out.slice(0, 5).map(e => e.outerHTML.slice(0, 160)) };
});

for (const sheet of sheets) {
  for (const colorScheme of ['light', 'dark']) {
    for (const width of [360, 768, 1200]) {
      await test(`${sheet} fits a screen of ${width} px, ${colorScheme}, and is accessible`, async () => {
        const { context, page, asked, url } = await opened(sheet, { viewport: { width, height: 800 }, colorScheme, bypassCSP: true });
        assert.deepEqual(asked, [url], 'nothing else is fetched');
        const { page: more, out } = await overflow(page);
        assert.ok(more <= 0 && out.length === 0, `sticks out by ${more} px: ${out.join('\n')}`);
        // Cards in one scheme, tables in the other: a long sheet takes a while.
        if ((width === 360 && colorScheme === 'light') || (width === 1200 && colorScheme === 'dark')) {
          await page.evaluate(AXE);
          const { violations } = await page.evaluate(() => window.axe.run(document, {
            runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'],
            resultTypes: ['violations'],
          }));
          assert.deepEqual(violations.map(v => `${v.id}: ${v.help}: ${v.nodes.slice(0, 3).map(n => n.html).join(' ')}`), []);
        }
        await context.close();
      });
    }
  }

  await test(`${sheet} lets nothing run and fetches nothing`, async () => {
    const { context, page } = await opened(sheet);
    const seen = await page.evaluate(async () => {
      const barred = [];
      document.addEventListener('securitypolicyviolation', e => barred.push(e.effectiveDirective));
      const image = document.createElement('img');
      image.src = 'data:image/gif;base64,R0lGODlhAQABAAAAACw=';
      document.body.append(image);
      const script = document.createElement('script');
      script.textContent = 'window.ran = true';
      document.body.append(script);
      await new Promise(done => setTimeout(done, 200));
      return { barred: barred.sort(), ran: window.ran === true, hacked: window.hacked };
    });
    assert.deepEqual(seen, { barred: ['img-src', 'script-src-elem'], ran: false, hacked: undefined });
    await context.close();
  });

  await test(`${sheet} prints black on white, its heads repeated, within the paper`, async () => {
    // The widths of A4 and Letter less the margins of the sheet, at 96 px to the inch.
    for (const [format, width] of [['A4', 703], ['Letter', 725]]) {
      const { context, page } = await opened(sheet, { viewport: { width, height: 1000 }, colorScheme: 'dark' });
      await page.emulateMedia({ media: 'print' });
      const { page: more, out } = await overflow(page);
      assert.ok(more <= 0 && out.length === 0, `${format}: sticks out by ${more} px: ${out.join('\n')}`);
      const looks = await page.evaluate(() => {
        const body = getComputedStyle(document.body);
        const heads = [...document.querySelectorAll('thead')].map(head => getComputedStyle(head).display);
        return { paper: body.backgroundColor, ink: body.color, heads: [...new Set(heads)] };
      });
      assert.equal(looks.paper, 'rgb(255, 255, 255)');
      assert.equal(looks.ink, 'rgb(0, 0, 0)');
      assert.ok(looks.heads.every(display => display === 'table-header-group'), looks.heads.join());
      const pdf = (await page.pdf({ format, printBackground: false, path: process.env.SHOTS && join(process.env.SHOTS, `${sheet}.${format}.pdf`) })).toString('latin1');
      assert.ok(pdf.startsWith('%PDF-'));
      assert.ok((pdf.match(/\/Type \/Page\b/g) ?? []).length >= 1);
      await context.close();
    }
  });

  await test(`${sheet} has no letter without a shape`, async () => {
    const { context, page } = await opened(sheet);
    // Of those that the program itself writes; for what a builder writes the reader's own fonts have to do.
    const lacking = await page.evaluate(() => {
      const own = document.cloneNode(true);
      own.querySelectorAll('bdi, title, style, svg').forEach(e => e.remove());
      const canvas = document.createElement('canvas');
      const draw = canvas.getContext('2d', { willReadFrequently: true });
      const shape = letter => {
        draw.clearRect(0, 0, 60, 60);
        draw.font = `32px ${getComputedStyle(document.body).fontFamily}`;
        draw.fillText(letter, 10, 40);
        return draw.getImageData(0, 0, 60, 60).data.join();
      };
      const none = shape('\u{10fffe}');
      return [...new Set(own.body.textContent)].filter(letter => letter.trim() && shape(letter) === none);
    });
    assert.deepEqual(lacking, []);
    await context.close();
  });

  await test(`${sheet}: every box and blank is reached by the keyboard, in order`, async () => {
    const { context, page } = await opened(sheet);
    const count = await page.evaluate(() => {
      document.querySelectorAll('input').forEach((input, n) => { input.dataset.n = n; });
      return document.querySelectorAll('input').length;
    });
    if (count === 0) return;
    // Links of the contents come first; then box by box. Of a long sheet the first hundred and fifty.
    const links = await page.evaluate(() => document.querySelectorAll('a').length);
    const wanted = Math.min(count, 150);
    const reached = [];
    for (let n = 0; n < links + wanted; n += 1) {
      await page.keyboard.press('Tab');
      const at = await page.evaluate(() => document.activeElement?.dataset?.n);
      if (at !== undefined) reached.push(Number(at));
    }
    assert.deepEqual(reached.slice(0, wanted), [...Array(wanted).keys()]);
    const box = page.locator('input[type=checkbox]').first();
    if (await box.count() > 0) {
      await box.focus();
      await page.keyboard.press('Space');
      assert.ok(await box.isChecked());
    }
    assert.ok(await page.evaluate(() => [...document.querySelectorAll('input')].every(i => i.tabIndex >= 0 && !i.disabled)));
    await context.close();
  });

  await test(`${sheet}: each row of an item has an address of its own`, async () => {
    const { context, page } = await opened(sheet);
    const ids = await page.evaluate(() => [...document.querySelectorAll('[id^="figures-"]')].map(e => e.id));
    assert.equal(new Set(ids).size, ids.length);
    await context.close();
  });
}

await test('what a builder wrote stays text', async () => {
  const { context, page } = await opened('hostile.html');
  const plan = '<script>window.hacked = 1</script> & " \' \u202eturned\u2066 [a](javascript:alert(1)) https://example.org';
  assert.equal(await page.locator('h1').textContent(), plan);
  const seen = await page.evaluate(() => ({
    elements: document.querySelectorAll('script, img, b, a[href^="javascript"], iframe, foreignObject').length,
    hacked: window.hacked,
    links: [...document.querySelectorAll('a')].every(a => a.getAttribute('href').startsWith('#')),
    long: document.getElementById(`figures-${'l'.repeat(10000)}`) !== null,
    turned: [...document.querySelectorAll('bdi')].every(e => getComputedStyle(e).unicodeBidi.startsWith('isolate')),
  }));
  assert.deepEqual(seen, { elements: 0, hacked: undefined, links: true, long: true, turned: true });
  await context.close();
});

for (const name of readdirSync(here).filter(n => n.endsWith('.md'))) {
  await test(`${name} is Markdown in which nothing of the builder's is markup`, () => {
    const text = readFileSync(join(here, name), 'utf8');
    const tokens = new MarkdownIt({ html: true, linkify: true }).parse(text, {});
    const all = tokens.flatMap(t => [t, ...(t.children ?? [])]);
    const html = all.filter(t => t.type.startsWith('html_')).map(t => t.content.trim());
    assert.equal(html.length, 1, html.join('\n'));
    assert.ok(html[0].startsWith('<!-- made by glimloom'));
    const barred = all.filter(t => ['link_open', 'image', 'code_inline', 'fence', 'code_block', 'em_open'].includes(t.type));
    assert.deepEqual(barred.map(t => t.type), []);
    // Every row of a table has as many cells as its head.
    let head = 0, row = 0;
    for (const token of tokens) {
      if (token.type === 'thead_open') head = 0;
      if (token.type === 'th_open') head += 1;
      if (token.type === 'tr_open') row = 0;
      if (token.type === 'td_open') row += 1;
      if (token.type === 'tr_close' && row > 0) assert.equal(row, head);
    }
    assert.ok(!/[\u202a-\u202e\u2066-\u2069]/u.test(text));
  });
}

if (process.env.SHOTS) {
  for (const [sheet, width, colorScheme] of [['night-ferry.html', 1200, 'light'], ['night-ferry.html', 360, 'dark'], ['lock-harbour.html', 768, 'light'], ['hostile.html', 1200, 'dark']]) {
    const { context, page } = await opened(sheet, { viewport: { width, height: 900 }, colorScheme });
    await page.screenshot({ path: join(process.env.SHOTS, `${sheet}.${width}.${colorScheme}.png`), fullPage: true });
    await context.close();
  }
}
await browser.close();
console.log(`${passed} passed, ${failures.length} failed`);
process.exit(failures.length === 0 ? 0 : 1);
