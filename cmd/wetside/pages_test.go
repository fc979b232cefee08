package main

import (
	_ "embed"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"

	"wetside/cmd/wetside/demolab"
)

// axe is axe-core 4.14.1, the accessibility checker, for tests alone.
//
//go:embed testdata/axe.min.js
var axe string

// The promise of every page: no violation of WCAG 2.2 A and AA that axe-core
// finds, in light and dark, nothing cut off on a narrow phone, and no more than
// this many bytes the first time.
const (
	mostBytes   = 150_000
	narrowWidth = 360
	wideWidth   = 1280
)

// axeRun returns the violations as text, one a line.
const axeRun = `axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']}).then(r =>
	r.violations.map(v => v.id + ': ' + v.help + ' — ' + v.nodes.slice(0, 3).map(n => n.target.join(' ') + ' (' + n.failureSummary.replace(/\s+/g, ' ').slice(0, 200) + ')').join('; ')))`

// bytesLoaded is what the page and everything it needs weigh uncompressed over
// the wire, headers aside.
const bytesLoaded = `performance.getEntriesByType('navigation').concat(performance.getEntriesByType('resource'))
	.reduce((sum, e) => sum + (e.encodedBodySize || 0), 0)`

// linksHere lists where the page leads, on this server.
const linksHere = `[...document.querySelectorAll('a[href]')].map(a => a.href).filter(h => h.startsWith(location.origin))`

func TestEveryPageForEveryRole(t *testing.T) {
	t.Parallel()
	p := start(t, dataFolder(t), "demo", "--addr", "127.0.0.1:0")
	private := regexp.MustCompile(`http://\S+/o/\S+`).FindString(p.said.String())
	if private == "" {
		t.Fatalf("the demo names no private page: %q", p.said)
	}
	roles := []struct {
		name  string
		from  []string
		least int // fewer kinds of page than this means that the walk went wrong
	}{
		{"customer", []string{p.url + "/", private}, 5},
		{"staff", []string{p.url + "/today"}, 12},
		{"owner", []string{p.url + "/chemistry"}, 20},
	}
	for _, role := range roles {
		t.Run(role.name, func(t *testing.T) {
			t.Parallel()
			c := openChrome(t, wideWidth, 900)
			for _, s := range demolab.SignIns {
				if string(s.Role) == role.name {
					c.signIn(p.url, s)
				}
			}
			if seen := walkPages(c, p.url, role.from); len(seen) < role.least {
				t.Errorf("only %d kinds of page were found: %v", len(seen), seen)
			}
		})
	}
}

// signIn signs a person of the demo in.
func (c *chrome) signIn(base string, s demolab.SignIn) {
	c.t.Helper()
	c.visit(base + "/sign-in")
	c.write(`main input[name=name]`, s.Name)
	c.write(`main input[name=password]`, s.Password)
	c.press(`main form button`)
}

// walkPages follows every link and checks one page of each kind, the kind
// being the address without its numbers and keys.
func walkPages(c *chrome, base string, from []string) []string {
	var seen []string
	for queue := slices.Clone(from); len(queue) > 0; queue = queue[1:] {
		kind := pageKind(base, queue[0])
		if kind == "" || slices.Contains(seen, kind) {
			continue
		}
		seen = append(seen, kind)
		c.do("size", widen(wideWidth))
		c.dark(false)
		c.visit(queue[0])
		queue = append(queue, evaluate[[]string](c, linksHere)...)
		checkPage(c, kind)
	}
	return seen
}

var numbersAndKeys = regexp.MustCompile(`/(\d+|[A-Za-z0-9_-]{22})(/|$)`)

// pageKind names the kind of page at an address, "" for what is no page.
func pageKind(base, address string) string {
	parsed, err := url.Parse(address)
	if err != nil || !strings.HasPrefix(address, base) {
		return ""
	}
	for _, other := range []string{"/assets/", "/api/", "/healthz"} {
		if strings.HasPrefix(parsed.Path, other) {
			return ""
		}
	}
	return numbersAndKeys.ReplaceAllString(parsed.Path, "/…$2")
}

func checkPage(c *chrome, kind string) {
	c.t.Helper()
	if weight := evaluate[float64](c, bytesLoaded); weight > mostBytes {
		c.t.Errorf("%s weighs %.0f bytes, at most %d are allowed", kind, weight, mostBytes)
	}
	evaluate[bool](c, axe+";true")
	for _, width := range []int64{wideWidth, narrowWidth} {
		c.do("size", widen(width))
		for _, dark := range []bool{false, true} {
			c.dark(dark)
			for _, violation := range awaitStrings(c, axeRun) {
				c.t.Errorf("%s at %d px, dark %v: %s", kind, width, dark, violation)
			}
		}
		if over := evaluate[float64](c, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
			c.t.Errorf("%s at %d px is %v px too wide: %s", kind, width, over, evaluate[string](c, widest))
		}
	}
}

// widest names the elements that stick out furthest.
const widest = `[...document.querySelectorAll('main *, header *')].map(e => [e.getBoundingClientRect().right, e.tagName + '.' + e.className])
	.sort((a, b) => b[0] - a[0]).slice(0, 3).map(e => e.join(' ')).join('; ')`
