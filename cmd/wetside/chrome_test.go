package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// stepWithin is how long one step in the browser may take on a busy machine.
const stepWithin = time.Minute

// findChromium returns the browser for the page tests. Where there is none it
// is installed by Debian's package manager, so that the test command alone is
// enough on a fresh machine.
var findChromium = sync.OnceValues(func() (string, error) {
	for range 2 {
		for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
			if path, err := exec.LookPath(name); err == nil {
				return path, nil
			}
		}
		if err := installChromium(); err != nil {
			return "", fmt.Errorf("the page tests need Chromium, such as: sudo apt-get install chromium (%w)", err)
		}
	}
	return "", fmt.Errorf("chromium was installed but is not on the path")
})

func installChromium() error {
	var sudo []string
	if os.Geteuid() != 0 {
		sudo = []string{"sudo", "-n"}
	}
	fmt.Fprintln(os.Stderr, "installing Chromium for the page tests …")
	for _, line := range [][]string{{"apt-get", "update", "-qq"}, {"apt-get", "install", "-y", "-qq", "--no-install-recommends", "chromium"}} {
		line = append(sudo, line...)
		cmd := exec.Command(line[0], line[1:]...)
		cmd.Env = append(os.Environ(), "DEBIAN_FRONTEND=noninteractive")
		if out, err := cmd.CombinedOutput(); err != nil {
			return fmt.Errorf("%w: %.300s", err, out)
		}
	}
	return nil
}

// chrome is one tab of a headless browser.
type chrome struct {
	t   *testing.T
	ctx context.Context
}

// openChrome starts a browser of its own for a test. It talks to nobody but
// the pages it is sent to.
func openChrome(t *testing.T, width, height int) *chrome {
	t.Helper()
	path, err := findChromium()
	if err != nil {
		t.Fatal(err)
	}
	options := []chromedp.ExecAllocatorOption{
		chromedp.ExecPath(path), chromedp.Headless, chromedp.DisableGPU, chromedp.NoFirstRun,
		chromedp.WindowSize(width, height), chromedp.UserDataDir(t.TempDir()),
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-sync", true), chromedp.Flag("disable-quic", true), chromedp.Flag("disable-dev-shm-usage", true),
	}
	if os.Geteuid() == 0 {
		options = append(options, chromedp.NoSandbox)
	}
	allocated, cancel := chromedp.NewExecAllocator(t.Context(), options...)
	t.Cleanup(cancel)
	ctx, cancel := chromedp.NewContext(allocated)
	t.Cleanup(cancel)
	// The browser lives as long as the context of its first step, which for that
	// reason has no limit of its own.
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(int64(width), int64(height))); err != nil {
		t.Fatalf("open a tab: %v", err)
	}
	return &chrome{t, ctx}
}

// do runs steps, and fails the test with the page as it stands when one does
// not come to its end.
func (c *chrome) do(what string, steps ...chromedp.Action[chromedp.Void]) {
	c.t.Helper()
	ctx, cancel := context.WithTimeout(c.ctx, stepWithin)
	defer cancel()
	if err := chromedp.Do(ctx, steps...); err != nil {
		c.t.Fatalf("%s: %v\n%s", what, err, c.page())
	}
}

// page is where the browser is and what stands there, for messages.
func (c *chrome) page() string {
	ctx, cancel := context.WithTimeout(c.ctx, 10*time.Second)
	defer cancel()
	where, _ := chromedp.Run(ctx, chromedp.Location())
	text, _ := chromedp.Run(ctx, chromedp.Evaluate[string](`(document.querySelector('main') || document.body).innerText`))
	return where + "\n" + text
}

// visit goes to an address.
func (c *chrome) visit(url string) {
	c.t.Helper()
	c.do("go to "+url, chromedp.Navigate(url))
}

// press clicks a button or link and waits for the page it leads to.
func (c *chrome) press(selector string) {
	c.t.Helper()
	ctx, cancel := context.WithTimeout(c.ctx, stepWithin)
	defer cancel()
	response, err := chromedp.RunResponse(ctx, chromedp.Click(chromedp.CSS(selector)))
	if err != nil {
		c.t.Fatalf("press %s: %v\n%s", selector, err, c.page())
	}
	if response != nil && response.Status >= 400 {
		c.t.Fatalf("press %s: status %v\n%s", selector, response.Status, c.page())
	}
}

// write types into a field that was empty.
func (c *chrome) write(selector, text string) {
	c.t.Helper()
	c.do("write into "+selector, chromedp.SendKeys(chromedp.CSS(selector), text))
}

// choose picks an option of a select by its words.
func (c *chrome) choose(selector, words string) {
	c.t.Helper()
	script := fmt.Sprintf(`(() => {
		const select = document.querySelector(%q);
		const option = select && [...select.options].find(o => o.text.includes(%q));
		if (!option) return false;
		select.value = option.value;
		select.dispatchEvent(new Event('change', {bubbles: true}));
		return true;
	})()`, selector, words)
	if !evaluate[bool](c, script) {
		c.t.Fatalf("no %q in %s\n%s", words, selector, c.page())
	}
}

// text is what an element says.
func (c *chrome) text(selector string) string {
	c.t.Helper()
	ctx, cancel := context.WithTimeout(c.ctx, stepWithin)
	defer cancel()
	text, err := chromedp.Run(ctx, chromedp.Text(chromedp.CSS(selector)))
	if err != nil {
		c.t.Fatalf("read %s: %v\n%s", selector, err, c.page())
	}
	return text
}

// evaluate runs a script in the page.
func evaluate[T any](c *chrome, script string) T {
	c.t.Helper()
	ctx, cancel := context.WithTimeout(c.ctx, stepWithin)
	defer cancel()
	value, err := chromedp.Run(ctx, chromedp.Evaluate[T](script))
	if err != nil {
		c.t.Fatalf("evaluate: %v\n%s", err, c.page())
	}
	return value
}

// awaitStrings runs a script whose promise gives texts.
func awaitStrings(c *chrome, script string) []string {
	c.t.Helper()
	ctx, cancel := context.WithTimeout(c.ctx, stepWithin)
	defer cancel()
	texts, err := chromedp.Run(ctx, chromedp.Evaluate[[]string](script, func(p *runtime.EvaluateParams) { p.AwaitPromise = new(true) }))
	if err != nil {
		c.t.Fatalf("evaluate: %v\n%s", err, c.page())
	}
	return texts
}

// widen changes the width of the window.
func widen(width int64) chromedp.Action[chromedp.Void] { return chromedp.EmulateViewport(width, 900) }

// dark asks pages for their dark or their light colours, and for no motion, so
// that no colour is looked at half way to another.
func (c *chrome) dark(dark bool) {
	c.t.Helper()
	scheme := "light"
	if dark {
		scheme = "dark"
	}
	c.do("colours", chromedp.Func(func(ctx context.Context, tab *chromedp.Target) error {
		_, err := cdp.Call(ctx, tab, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
			Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}, {Name: "prefers-reduced-motion", Value: "reduce"}},
		})
		return err
	}))
}
