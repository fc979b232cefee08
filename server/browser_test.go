package server_test

import (
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"
)

// browser is somebody with cookies who does not follow redirects by themselves.
type browser struct {
	t      *testing.T
	base   string
	client *http.Client
}

// browse returns a new visitor of a server.
func browse(t *testing.T, base string) *browser {
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

// answer is what came back, read to its end.
type answer struct {
	*http.Response
	t    *testing.T
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
	return answer{response, b.t, string(text), page}
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
func (b *browser) signIn(name string) *browser {
	b.t.Helper()
	b.post("/sign-in", url.Values{"name": {name}, "password": {password}}).status(http.StatusSeeOther)
	return b
}

// status fails the test when the answer has another one.
func (a answer) status(want int) answer {
	a.t.Helper()
	if a.StatusCode != want {
		a.t.Fatalf("%s %s: %s, want %d\n%s", a.Request.Method, a.Request.URL.Path, a.Status, want, a.text("main"))
	}
	return a
}

// text is what stands in the selected part, with single spaces.
func (a answer) text(selector string) string {
	return strings.Join(strings.Fields(a.page.Find(selector).Text()), " ")
}

// says fails the test when a selected part does not hold a text.
func (a answer) says(selector, want string) {
	a.t.Helper()
	if got := a.text(selector); !strings.Contains(got, want) {
		a.t.Errorf("%s %s: %q says %q, want %q", a.Request.Method, a.Request.URL.Path, selector, got, want)
	}
}

// typed returns everything a form would send as it stands, without a button.
func (a answer) typed(selector string) url.Values {
	a.t.Helper()
	form := a.page.Find(selector)
	if form.Length() != 1 {
		a.t.Fatalf("%d forms at %q in %s", form.Length(), selector, a.body)
	}
	values := url.Values{}
	form.Find("input[name], textarea[name]").Each(func(_ int, field *goquery.Selection) {
		name, value := field.AttrOr("name", ""), field.AttrOr("value", "")
		_, checked := field.Attr("checked")
		switch kind := field.AttrOr("type", ""); {
		case goquery.NodeName(field) == "textarea":
			values.Set(name, field.Text())
		case (kind == "checkbox" || kind == "radio") && !checked:
		default:
			values.Set(name, value)
		}
	})
	form.Find("select[name]").Each(func(_ int, field *goquery.Selection) {
		chosen := field.Find("option[selected]")
		if chosen.Length() == 0 {
			chosen = field.Find("option").First()
		}
		values.Set(field.AttrOr("name", ""), chosen.AttrOr("value", ""))
	})
	return values
}

// faultBeside returns what is said to be wrong beside a field, checking that
// the field and the summary refer to it.
func (a answer) faultBeside(name string) string {
	a.t.Helper()
	field := a.page.Find(fmt.Sprintf("[name=%q]", name)).First()
	if field.AttrOr("type", "") == "radio" {
		field = field.Closest("fieldset")
	} else if field.AttrOr("aria-invalid", "") != "true" {
		a.t.Errorf("field %s is not marked invalid", name)
	}
	id := field.AttrOr("id", "none")
	if !strings.Contains(field.AttrOr("aria-describedby", ""), id+"-error") {
		a.t.Errorf("field %s does not refer to its error", name)
	}
	if a.page.Find(fmt.Sprintf("#problems a[href=%q]", "#"+id)).Length() == 0 {
		a.t.Errorf("the summary does not lead to field %s", name)
	}
	return a.text("#" + id + "-error")
}

func itoa(n int) string { return fmt.Sprint(n) }
