package serve

import (
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"netagauge/internal/core/fatal"
	"netagauge/internal/judge/yield"
)

// A block is opened, closed with what it gave, and counts in the yield from then on.
func TestBlockIsKept(t *testing.T) {
	e := newEverybody(t)
	open := url.Values{"species": {"maguro"}, "grams": {"812,5"}, "supplier": {hostile}, "cutter": {"Aoi Test"}, "price": {"48"}, "planned": {"44"}}
	got := e.chef.made("/blocks", open)
	got.must(e.site, http.StatusOK, "bluefin tuna", "813 g", "planned: 44 slices", "It is done")
	got.lacks(e.site, hostile, "<script>alert")
	id := regexp.MustCompile(`/blocks/(\d+)/close`).FindStringSubmatch(got.body)[1]
	for name, wrong := range map[string]url.Values{
		"text": {"served": {"many"}}, "half": {"served": {"4.5"}}, "more left": {"served": {"4"}, "left": {"813"}}, "too heavy": {"served": {"4"}, "weighed": {"813"}},
	} {
		e.chef.post("/blocks/"+id+"/close", wrong).must(e.site, http.StatusUnprocessableEntity, `role="alert"`)
		if all, err := e.folder.Book().Blocks(t.Context(), 9); err != nil || len(all) != 1 || !all[0].Open() {
			t.Errorf("%s closed it: %+v, %v", name, all, err)
		}
	}
	closed := url.Values{"served": {"40"}, "left": {"12.5"}, "weighed": {"520"}, "remark": {"sinew"}}
	e.chef.made("/blocks/"+id+"/close", closed).must(e.site, http.StatusOK, "40 slices, 20.0 g of block for each", "sinew")
	e.chef.post("/blocks/"+id+"/close", closed).must(e.site, http.StatusUnprocessableEntity, "was closed before")
	e.teacher.get("/yield").must(e.site, http.StatusOK, "20.0", "65", "40 / 44", "Aoi Test")
	e.chef.post("/blocks", url.Values{"grams": {"none"}, "supplier": {"kept"}}).must(e.site, http.StatusUnprocessableEntity, `value="kept"`)
	for field, typed := range map[string]string{"grams": "1,200", "price": "3,200", "planned": "4.5"} {
		wrong := url.Values{"grams": {"800"}}
		wrong.Set(field, typed)
		e.chef.post("/blocks", wrong).must(e.site, http.StatusUnprocessableEntity, `role="alert"`, `value="`+typed+`"`)
	}
	if all, err := e.folder.Book().Blocks(t.Context(), 9); err != nil || len(all) != 1 {
		t.Errorf("a block with a number that can be read two ways was kept: %+v, %v", all, err)
	}
	e.aoi.post("/blocks", open).must(e.site, http.StatusNotFound)
	plan := e.chef.get("/plan?length=200&width=70&height=25&species=bluefin+tuna")
	plan.must(e.site, http.StatusOK, "Open this block")
	link := regexp.MustCompile(`href="(/blocks\?[^"]+)"`).FindStringSubmatch(plan.body)[1]
	e.chef.get(strings.ReplaceAll(link, "&amp;", "&")).must(e.site, http.StatusOK, `value="`+regexp.MustCompile(`(\d+) slices to serve`).FindStringSubmatch(plan.body)[1]+`"`, `value="bluefin tuna" lang="en" selected`)
	e.chef.get("/blocks?species=squid&planned=31").must(e.site, http.StatusOK, `value="31"`, `value="squid" lang="en" selected`)
}

// What to order is said from three blocks of the fish on, with its interval; what was
// given away goes by the house's aim for the fish.
func TestOrderAndWeeks(t *testing.T) {
	e := newEverybody(t)
	for _, grams := range []float64{600, 640, 620} {
		e.chef.get("/yield?species=bluefin+tuna&slices=80").must(e.site, http.StatusOK, "Three blocks of this fish")
		b := yield.Block{Species: "bluefin tuna", Cutter: "A", Grams: grams, PerKg: 50, OpenedAt: time.Now()}
		id, err := e.folder.Book().OpenBlock(t.Context(), b)
		fatal.If(t, err)
		b.ID, b.Served, b.ServedGrams, b.ClosedAt = id, 40, 560, time.Now()
		fatal.If(t, e.folder.Book().CloseBlock(t.Context(), b))
	}
	house, err := e.server.house(t.Context())
	fatal.If(t, err)
	over := 3 * (560 - 40*house.WeightFor("tuna").Aim)
	got := e.chef.get("/yield?species=bluefin+tuna&slices=80")
	// 15.5 g a slice, s = .5; 80 slices are 2 blocks: ± 4.303·.5·√(1/3 + 1/2) = 1.96 g each.
	got.must(e.site, http.StatusOK, "For 80 slices: 1.24 kg of block; between 1.08 and 1.40 kg", "<td>&#43;"+strconv.FormatFloat(over, 'f', -1, 64)+"</td>")
	e.chef.get("/yield?slices=none").must(e.site, http.StatusOK, "whole number")
}
