package web

import (
	"io/fs"
	"path"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/jba/templatecheck"
)

// Every template is checked against the type of its page, so that a misspelt
// field is found here and not by whoever opens the page.
func TestTemplatesFitTheirPages(t *testing.T) {
	t.Parallel()
	renderer, err := NewRenderer()
	if err != nil {
		t.Fatal(err)
	}
	for _, page := range Pages() {
		if err := templatecheck.CheckHTMLStrict(renderer.pages[page.Template()], page); err != nil {
			t.Errorf("%s: %v", page.Template(), err)
		}
	}
}

func TestEveryTemplateHasAPage(t *testing.T) {
	t.Parallel()
	files, err := fs.Glob(templateFiles, "templates/pages/*.html")
	if err != nil {
		t.Fatal(err)
	}
	var names, listed []string
	for _, file := range files {
		names = append(names, strings.TrimSuffix(path.Base(file), ".html"))
	}
	seen := map[string]bool{}
	for _, page := range Pages() {
		if seen[page.Template()] {
			t.Errorf("two pages use the template %q", page.Template())
		}
		seen[page.Template()] = true
	}
	for _, name := range names {
		if seen[name] {
			listed = append(listed, name)
		}
	}
	if diff := cmp.Diff(names, listed); diff != "" {
		t.Errorf("templates without a page in Pages():\n%s", diff)
	}
}
