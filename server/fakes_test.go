package server

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/PuerkitoBio/goquery"

	"wetside/jobs"
)

// password signs every invented person in.
const password = "seven wet towels"

// fakePeople knows two people: Kit, who is staff, and Wren, an owner.
type fakePeople struct {
	jobs.PeopleService
	inactive bool
}

func (p *fakePeople) everybody() []jobs.Person {
	return []jobs.Person{
		{ID: 1, Name: "Kit", Role: jobs.Staff, Active: !p.inactive},
		{ID: 2, Name: "Wren", Role: jobs.Owner, Active: !p.inactive},
	}
}

func (p *fakePeople) SignIn(_ context.Context, name, secret string) (jobs.Person, error) {
	for _, person := range p.everybody() {
		if strings.EqualFold(person.Name, name) && secret == password {
			return person, nil
		}
	}
	return jobs.Person{}, jobs.Errorf(jobs.Unauthorised, "name and password do not fit")
}

func (p *fakePeople) Person(_ context.Context, id jobs.PersonID) (jobs.Person, error) {
	for _, person := range p.everybody() {
		if person.ID == id {
			return person, nil
		}
	}
	return jobs.Person{}, jobs.Errorf(jobs.NotFound, "there is no such person")
}

// fakeCatalogue answers with a catalogue, or an error.
type fakeCatalogue struct {
	jobs.CatalogueService
	catalogue jobs.Catalogue
	err       error
}

func (c *fakeCatalogue) Catalogue(context.Context) (jobs.Catalogue, error) { return c.catalogue, c.err }

var errDisk = errors.New("the disk of records.internal is full")

// clock is a time that only moves when a test moves it.
type clock struct{ at time.Time }

func (c *clock) now() time.Time { return c.at }

// world is a server over invented records, and what a test turns in it.
type world struct {
	*httptest.Server
	clock     *clock
	people    *fakePeople
	catalogue *fakeCatalogue
}

// serve starts a server; options may change what it is started with.
func serve(t *testing.T, change ...func(*Options)) *world {
	t.Helper()
	w := &world{
		clock:     &clock{time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)},
		people:    &fakePeople{},
		catalogue: &fakeCatalogue{catalogue: jobs.Catalogue{Lab: jobs.Lab{Name: "Sallow Quay Film Lab", TimeZone: "Europe/Amsterdam", ReadyHours: 72}}},
	}
	options := Options{Now: w.clock.now, Log: slog.New(slog.NewTextHandler(io.Discard, nil))}
	for _, one := range change {
		one(&options)
	}
	server, err := New(Services{People: w.people, Catalogue: w.catalogue}, options)
	if err != nil {
		t.Fatal(err)
	}
	w.Server = httptest.NewServer(server.Handler())
	t.Cleanup(w.Close)
	return w
}

// browser is somebody with cookies who does not follow redirects by themselves.
type browser struct {
	t      *testing.T
	base   string
	client *http.Client
}

func newBrowser(t *testing.T, base string) *browser {
	t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	return &browser{t, base, &http.Client{
		Jar:           jar,
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	}}
}

// browse returns a new visitor of the server.
func (w *world) browse(t *testing.T) *browser { return newBrowser(t, w.URL) }

// answer is what came back, read to its end.
type answer struct {
	*http.Response
	body string
	page *goquery.Document
}

func (b *browser) do(method, path string, body io.Reader, header ...string) answer {
	b.t.Helper()
	request, err := http.NewRequestWithContext(b.t.Context(), method, b.base+path, body)
	if err != nil {
		b.t.Fatal(err)
	}
	for i := 0; i < len(header); i += 2 {
		request.Header.Set(header[i], header[i+1])
	}
	response, err := b.client.Do(request)
	if err != nil {
		b.t.Fatal(err)
	}
	defer response.Body.Close()
	text, err := io.ReadAll(response.Body)
	if err != nil {
		b.t.Fatal(err)
	}
	page, err := goquery.NewDocumentFromReader(strings.NewReader(string(text)))
	if err != nil {
		b.t.Fatal(err)
	}
	return answer{response, string(text), page}
}

func (b *browser) get(path string) answer {
	b.t.Helper()
	return b.do(http.MethodGet, path, nil)
}

func (b *browser) post(path string, form url.Values, header ...string) answer {
	b.t.Helper()
	return b.do(http.MethodPost, path, strings.NewReader(form.Encode()),
		append([]string{"Content-Type", "application/x-www-form-urlencoded"}, header...)...)
}

// signIn signs a person in and fails the test when that fails.
func (b *browser) signIn(name string) {
	b.t.Helper()
	got := b.post("/sign-in", url.Values{"name": {name}, "password": {password}})
	if got.StatusCode != http.StatusSeeOther {
		b.t.Fatalf("sign-in of %s: %s", name, got.Status)
	}
}
