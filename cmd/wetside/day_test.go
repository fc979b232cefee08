package main

import (
	"regexp"
	"strings"
	"testing"

	"wetside/cmd/wetside/demolab"
)

// TestARollFromTheOrderFormToDelivered does a day's work on one roll in the
// browser, with pages alone. A C-41 film pushed by a stop is developed for 3:45
// (Kodak TI-2420, push table; Z-131, table 2-7).
func TestARollFromTheOrderFormToDelivered(t *testing.T) {
	t.Parallel()
	p := start(t, dataFolder(t), "demo", "--addr", "127.0.0.1:0")
	c := openChrome(t, wideWidth, 900)

	private := c.order(p.url)
	number := regexp.MustCompile(`[Oo]rder (\d+)`).FindStringSubmatch(c.text("main"))
	if number == nil {
		t.Fatalf("no order number\n%s", c.page())
	}

	c.signIn(p.url, demolab.SignIns[0])
	c.visit(p.url + "/check-in?q=" + number[1])
	if strings.HasPrefix(evaluate[string](c, "location.pathname"), "/check-in") && !evaluate[bool](c, `!!document.querySelector('button[value=issue]')`) {
		c.press(`main a[href^="/check-in"]`)
	}
	c.press(`main button[value=issue]`)

	c.accept(p.url, number[1]+"/1")
	if got := evaluate[string](c, `document.querySelector('[data-develop]').textContent.trim()`); got != "3:45" {
		t.Errorf("the run sheet says %s, want 3:45", got)
	}
	for _, words := range []string{"37.8", "Mind", "safety data sheet", "local disposal code", number[1] + "/1"} {
		if !strings.Contains(c.text("main"), words) {
			t.Errorf("the run sheet does not say %q\n%s", words, c.page())
		}
	}
	c.run(p.url)

	c.advance(p.url, number[1]+"/1")
	c.advance(p.url, number[1]+"/1")

	c.visit(p.url + "/counter?q=" + number[1])
	c.press(`main form[action="/orders/` + number[1] + `/deliver"] button`)

	c.visit(private)
	if text := c.text("main"); !strings.Contains(text, "Delivered") {
		t.Errorf("the customer does not see that it was delivered:\n%s", text)
	}
}

// order sends one roll in as a customer and returns the address of its private
// page, where the browser is then.
func (c *chrome) order(base string) string {
	c.t.Helper()
	c.visit(base + "/send")
	c.choose(`select[name="rolls[0].stock"]`, "Sedge 640")
	c.choose(`select[name="rolls[0].format"]`, "135")
	c.write(`input[name="rolls[0].exposures"]`, "36")
	c.choose(`select[name="rolls[0].push"]`, "+1")
	c.choose(`select[name="rolls[0].light"]`, "Daylight")
	c.write(`input[name="rolls[0].ei"]`, "1250")
	c.write(`input[name=name]`, "Marsh Sandpiper")
	c.write(`input[name=email]`, "marsh@example.org")
	c.press(`main button.large[value=review]`)
	if text := c.text("main"); !strings.Contains(text, "+1") || !strings.Contains(text, "1250") {
		c.t.Errorf("the review does not say what the lab reads:\n%s", text)
	}
	c.press(`main button[value=submit]`)
	address := evaluate[string](c, "location.href")
	if !strings.Contains(address, "/o/") {
		c.t.Fatalf("no private page: %s", c.page())
	}
	return address
}

// accept takes the proposed batch that holds a roll, and goes to its run sheet.
func (c *chrome) accept(base, label string) {
	c.t.Helper()
	c.visit(base + "/plan")
	c.mark(`[...document.querySelectorAll('#proposal .batch')].find(b => b.innerText.includes('` + label + `')).querySelector('button')`)
	c.press(`[data-marked]`)
	c.visit(base + "/plan")
	c.mark(`[...document.querySelectorAll('[data-batch]')].find(b => b.textContent.includes('` + label + `')).querySelector('a[href^="/batches/"]')`)
	c.press(`[data-marked]`)
}

// run makes the line free, starts the batch whose run sheet is shown, and
// finishes it.
func (c *chrome) run(base string) {
	c.t.Helper()
	sheet := evaluate[string](c, "location.href")
	c.visit(base + "/plan")
	for _, other := range evaluate[[]string](c, `[...document.querySelectorAll('[data-batch]')].filter(b => b.innerText.includes('Developing')).map(b => b.querySelector('a').href)`) {
		c.visit(other)
		c.press(`#finish-form button.primary`)
	}
	c.visit(sheet)
	c.write(`input[name="start.developer_c"]`, "37.8")
	c.press(`form[action$="/start"] button.primary`)
	c.press(`#finish-form button.primary`)
}

// advance moves a roll a step along the dry side.
func (c *chrome) advance(base, label string) {
	c.t.Helper()
	c.visit(base + "/dry-side")
	c.mark(`[...document.querySelectorAll('form[action$="/advance"]')].find(f => f.closest('tr, li').innerText.includes('` + label + `')).querySelector('button')`)
	c.press(`[data-marked]`)
}

// mark gives the element that a script finds an attribute to press it by.
func (c *chrome) mark(script string) {
	c.t.Helper()
	evaluate[bool](c, `(() => {
		document.querySelectorAll('[data-marked]').forEach(e => e.removeAttribute('data-marked'));
		const found = `+script+`;
		found.setAttribute('data-marked', '');
		return true;
	})()`)
}
