package move

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"netagauge/internal/keep/database"
	"netagauge/internal/keep/photos/s3test"
	"netagauge/internal/keep/postgrestest"
)

// 10,000 trays, photos of 20 kB and a hundred real ones, go to PostgreSQL and a server of
// S3 that is a process of its own, and back: exports and files are equal, byte for byte.
// It takes minutes, most of them to make the trays, so it runs only when NETAGAUGE_LONG
// is set; more than 1, it is how many.
func TestTenThousandThereAndBack(t *testing.T) {
	if os.Getenv("NETAGAUGE_LONG") == "" {
		t.Skip("set NETAGAUGE_LONG to move 10,000 trays")
	}
	trays := 10_000
	if _, err := fmt.Sscan(os.Getenv("NETAGAUGE_LONG"), &trays); err != nil || trays == 1 {
		trays = 10_000
	}
	began := time.Now()
	dir := kitchenOf(t, trays, 100)
	t.Logf("%d trays made in %v", trays, time.Since(began).Round(time.Second))
	own := postgrestest.Own(t)
	server, err := database.Connect(t.Context(), own.URL())
	must(t, err)
	t.Cleanup(server.Close)
	p := pair{server, server.Schema("site_moved"), "site_moved", bucketAt(t, s3test.Address(s3test.StartProcess(t).URL, "k"))}
	began = time.Now()
	moved, err := there(t.Context(), dir, p)
	must(t, err)
	t.Logf("there: %+v in %v", moved, time.Since(began).Round(time.Millisecond))
	again := filepath.Join(t.TempDir(), "again")
	began = time.Now()
	moved, err = back(t.Context(), p, again)
	must(t, err)
	t.Logf("back: %+v in %v", moved, time.Since(began).Round(time.Millisecond))
	equal(t, dir, again)
}
