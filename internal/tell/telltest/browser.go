package telltest

import (
	"context"
	"net/url"
	"os/exec"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"netagauge/internal/core/fatal"
)

// limit is how long one browser may live: for what hangs, on the slowest machine.
const limit = 30 * time.Minute

// Browser starts a browser that ends with the test. Where there is none the test is
// skipped; .ci/run says so at its end.
func Browser(t testing.TB, more ...chromedp.ExecAllocatorOption) context.Context {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("no chromium to drive: .ci/run installs it")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox)
	alloc, stop := chromedp.NewExecAllocator(context.Background(), append(options, more...)...)
	t.Cleanup(stop)
	limited, stop := context.WithTimeout(alloc, limit)
	t.Cleanup(stop)
	ctx, stop := chromedp.NewContext(limited)
	t.Cleanup(stop)
	if err := chromedp.Do(ctx); err != nil { // the browser lives as long as the context of its first step
		t.Fatal(err)
	}
	return ctx
}

// Print is a page, a file by its whole path, as a browser prints it.
func Print(t testing.TB, browser context.Context, file string, size chromedp.PaperSize) []byte {
	t.Helper()
	fatal.If(t, chromedp.Do(browser, chromedp.Navigate((&url.URL{Scheme: "file", Path: file}).String()), chromedp.WaitReady("body")))
	pdf, err := chromedp.Run(browser, chromedp.PrintToPDF(chromedp.PDFPaper(size)))
	fatal.If(t, err)
	return pdf
}
