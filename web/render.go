package web

import (
	"embed"
	"fmt"
	"html/template"
	"io"
)

//go:embed templates
var templateFiles embed.FS

// Page is one page, ready to be shown.
type Page interface {
	// Template names the page's file in templates/pages, without ".html".
	Template() string
	// Base returns the page's frame.
	Base() *Frame
}

// Renderer holds every page's template and the assets, all read and checked
// once.
type Renderer struct {
	Assets *Assets
	pages  map[string]*template.Template
}

// NewRenderer parses every template and reads every asset. An error is a fault
// of the program, found at its start.
func NewRenderer() (*Renderer, error) {
	assets, err := readAssets()
	if err != nil {
		return nil, err
	}
	common, err := template.New("frame").Funcs(functions(assets)).
		ParseFS(templateFiles, "templates/*.html", "templates/parts/*.html")
	if err != nil {
		return nil, fmt.Errorf("common templates: %w", err)
	}
	r := &Renderer{Assets: assets, pages: map[string]*template.Template{}}
	for _, page := range Pages() {
		name := page.Template()
		own, err := template.Must(common.Clone()).ParseFS(templateFiles, "templates/pages/"+name+".html")
		if err != nil {
			return nil, fmt.Errorf("page %s: %w", name, err)
		}
		r.pages[name] = own.Lookup("frame.html")
	}
	return r, nil
}

// Render writes a page. What was written before an error is no whole page, so
// the caller renders to a buffer.
func (r *Renderer) Render(w io.Writer, page Page) error {
	own, ok := r.pages[page.Template()]
	if !ok {
		return fmt.Errorf("page %q is not in the list of pages", page.Template())
	}
	if err := own.Execute(w, page); err != nil {
		return fmt.Errorf("page %q: %w", page.Template(), err)
	}
	return nil
}

// functions are what templates may call.
func functions(assets *Assets) template.FuncMap {
	return template.FuncMap{
		"asset":  assets.Path,
		"mmss":   minutesSeconds,
		"plural": plural,
		"add":    func(a, b int) int { return a + b },
	}
}

// minutesSeconds writes a time in seconds as it stands on a timer: 3:45.
func minutesSeconds(seconds int) string { return fmt.Sprintf("%d:%02d", seconds/60, seconds%60) }

// plural writes a count with its noun: "1 roll", "2 rolls".
func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
