package server_test

import (
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"io"
	"log/slog"
	"net/http"
	"net/netip"
	"net/url"
	"strings"
	"testing"

	"wetside/jobs"
	"wetside/server"
)

func TestEveryAnswerIsSecured(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL)
	for _, path := range []string{"/", "/send", "/sign-in", "/nowhere", "/healthz", "/api/v1/nowhere", "/assets/none.css"} {
		header := b.get(path).Header
		policy := header.Get("Content-Security-Policy")
		for _, want := range []string{"default-src 'none'", "script-src 'self'", "style-src 'self'", "form-action 'self'", "frame-ancestors 'none'", "base-uri 'none'"} {
			if !strings.Contains(policy, want) {
				t.Errorf("%s: policy %q lacks %q", path, policy, want)
			}
		}
		if strings.Contains(policy, "unsafe") {
			t.Errorf("%s: policy %q", path, policy)
		}
		if header.Get("X-Content-Type-Options") != "nosniff" || header.Get("X-Request-Id") == "" {
			t.Errorf("%s: header %v", path, header)
		}
	}
	first, second := b.get("/").Header.Get("X-Request-Id"), b.do(http.MethodGet, "/", nil, "X-Request-Id", "mine").Header.Get("X-Request-Id")
	if second == "mine" || first == second {
		t.Errorf("request ids %q and %q", first, second)
	}
}

// What the pages bring is what the policy allows: no scripts, styles or
// handlers within the page.
func TestPagesKeepToTheirPolicy(t *testing.T) {
	t.Parallel()
	l := open(t)
	order := l.order(t, "Marl 400")
	b := browse(t, l.URL)
	for _, path := range []string{"/", "/send", "/where", "/sign-in", "/nowhere", "/o/" + order.Token, "/o/" + order.Token + "/slip"} {
		page := b.get(path).page
		if n := page.Find("style, [style], script:not([src]), [onclick], [onchange], [onsubmit]").Length(); n != 0 {
			t.Errorf("%s: %d parts that the policy forbids", path, n)
		}
		if page.Find("h1").Length() != 1 || page.Find("html[lang]").Length() != 1 || page.Find("main").Length() != 1 {
			t.Errorf("%s: it wants one h1, one main and a language", path)
		}
		for _, node := range page.Find("script[src], link[href]").Nodes {
			for _, attribute := range node.Attr {
				if attribute.Key == "src" || attribute.Key == "href" {
					checkAsset(t, b, attribute.Val)
				}
			}
		}
	}
}

func checkAsset(t *testing.T, b *browser, path string) {
	t.Helper()
	header := b.get(path).status(http.StatusOK).Header
	if !strings.Contains(header.Get("Cache-Control"), "immutable") || header.Get("Content-Type") == "" || header.Get("Set-Cookie") != "" {
		t.Errorf("%s: header %v", path, header)
	}
}

// firstVisit is the most bytes that a page may cost somebody who was never
// here, as they travel.
const firstVisit = 150_000

func TestFirstVisitsAreLight(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL)
	weigh := func(path string) int {
		packed := b.do(http.MethodGet, path, nil, "Accept-Encoding", "gzip").status(http.StatusOK)
		if packed.Header.Get("Content-Encoding") == "gzip" {
			if _, err := gzip.NewReader(strings.NewReader(packed.body)); err != nil {
				t.Errorf("%s: %v", path, err)
			}
		} else if len(packed.body) > 2000 {
			t.Errorf("%s travels unpacked: %d bytes", path, len(packed.body))
		}
		return len(packed.body)
	}
	for _, path := range []string{"/", "/send", "/sign-in"} {
		total := weigh(path)
		for _, node := range b.get(path).page.Find("script[src], link[href]").Nodes {
			for _, attribute := range node.Attr {
				if attribute.Key == "src" || attribute.Key == "href" {
					total += weigh(attribute.Val)
				}
			}
		}
		t.Logf("%s: %d bytes on a first visit", path, total)
		if total > firstVisit {
			t.Errorf("%s: %d bytes on a first visit, at most %d", path, total, firstVisit)
		}
	}
}

func TestRequestsFromOtherSitesAreRefused(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL)
	form := url.Values{"name": {"Kit"}, "password": {password}}
	for _, header := range [][]string{{"Sec-Fetch-Site", "cross-site"}, {"Origin", "https://elsewhere.example"}, {"Sec-Fetch-Site", "same-site"}} {
		b.post("/sign-in", form, header...).status(http.StatusForbidden).says("main", "another site")
	}
	b.do(http.MethodGet, "/where", nil, "Sec-Fetch-Site", "cross-site").status(http.StatusOK)
	b.post("/sign-in", form, "Sec-Fetch-Site", "same-origin").status(http.StatusSeeOther)
}

func TestBodiesThatCannotBeRead(t *testing.T) {
	t.Parallel()
	l := open(t)
	b := browse(t, l.URL)
	const form = "application/x-www-form-urlencoded"
	big := strings.Repeat("x", 257<<10)
	b.do(http.MethodPost, "/send", strings.NewReader("name="+big), "Content-Type", form).
		status(http.StatusRequestEntityTooLarge).says("main", "256KB")
	// Without a length it is counted as it comes.
	b.do(http.MethodPost, "/send", io.MultiReader(strings.NewReader("name="), strings.NewReader(big)), "Content-Type", form).
		status(http.StatusRequestEntityTooLarge)
	b.do(http.MethodPost, "/send", strings.NewReader("name=%zz"), "Content-Type", form).status(http.StatusBadRequest)
	b.do(http.MethodPost, "/send", strings.NewReader("{}"), "Content-Type", "application/json").status(http.StatusUnsupportedMediaType)
	b.do(http.MethodPost, "/send", nil).status(http.StatusUnsupportedMediaType)
	b.do(http.MethodDelete, "/send", nil).status(http.StatusMethodNotAllowed)
	b.get("/nowhere").status(http.StatusNotFound).says("main", "nothing at this address")
}

// failing is a catalogue that cannot be read.
type failing struct{ jobs.CatalogueService }

var errInside = errors.New("disk records-7 is full")

func (failing) Catalogue(context.Context) (jobs.Catalogue, error) {
	return jobs.Catalogue{}, errInside
}

// panicking is one that makes the program panic.
type panicking struct{ jobs.CatalogueService }

func (panicking) Catalogue(context.Context) (jobs.Catalogue, error) { panic(errInside) }

func TestFaultsOfOursAreLoggedAndNotShown(t *testing.T) {
	t.Parallel()
	for name, broken := range map[string]jobs.CatalogueService{"error": failing{}, "panic": panicking{}} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			var log bytes.Buffer
			l := open(t, func(s *server.Services, o *server.Options) {
				s.Catalogue, o.Log = broken, slog.New(slog.NewTextHandler(&log, nil))
			})
			got := browse(t, l.URL).get("/").status(http.StatusInternalServerError)
			id := got.Header.Get("X-Request-Id")
			if strings.Contains(got.body, "records-7") || !strings.Contains(got.body, id) {
				t.Errorf("shown: %s", got.body)
			}
			l.Close() // the log is complete when the server has stopped
			if !strings.Contains(log.String(), "records-7") || !strings.Contains(log.String(), id) {
				t.Errorf("logged: %s", log.String())
			}
		})
	}
}

func TestPrivateLinksAreNotLogged(t *testing.T) {
	t.Parallel()
	var log bytes.Buffer
	l := open(t, func(_ *server.Services, o *server.Options) { o.Log = slog.New(slog.NewTextHandler(&log, nil)) })
	order := l.order(t, "Sedge 160")
	browse(t, l.URL).get("/o/" + order.Token).status(http.StatusOK)
	l.Close()
	if strings.Contains(log.String(), order.Token) || !strings.Contains(log.String(), "/o/:token") {
		t.Errorf("logged: %s", log.String())
	}
}

func TestOnlyTrustedProxiesNameTheVisitor(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		trusted []netip.Prefix
		held    bool
	}{{nil, true}, {[]netip.Prefix{netip.MustParsePrefix("127.0.0.0/8")}, false}} {
		l := open(t, func(_ *server.Services, o *server.Options) { o.TrustedProxies = test.trusted })
		b := browse(t, l.URL)
		held := false
		for i := range 30 {
			got := b.post("/where", url.Values{"link": {strings.Repeat("A", 22)}}, "X-Forwarded-For", "203.0.113."+itoa(i))
			held = held || got.StatusCode == http.StatusTooManyRequests
		}
		if held != test.held {
			t.Errorf("trusting %v: held back %v, want %v", test.trusted, held, test.held)
		}
	}
}
