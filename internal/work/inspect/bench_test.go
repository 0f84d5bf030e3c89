package inspect

import (
	"bytes"
	"context"
	"image"
	"image/draw"
	"image/jpeg"
	"testing"
	"time"

	"github.com/disintegration/imaging"

	"netagauge/internal/core/piece"
	"netagauge/internal/tell/report"
)

// phonePhoto is a sample tray enlarged to 12 megapixels and compressed like a
// phone's photo.
func phonePhoto(b *testing.B) []byte {
	b.Helper()
	data, _ := sample(b, "tray-card")
	return enlarged(b, data)
}

func enlarged(b *testing.B, data []byte) []byte {
	b.Helper()
	img, err := jpeg.Decode(bytes.NewReader(data))
	if err != nil {
		b.Fatal(err)
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, imaging.Resize(img, 4032, 0, imaging.CatmullRom), &jpeg.Options{Quality: 92}); err != nil {
		b.Fatal(err)
	}
	return out.Bytes()
}

// BenchmarkCheck runs everything on a 12-megapixel photo, from bytes to the
// report as JSON and the annotated picture as JPEG, and reports the time as a
// ratio to the bare decode of the same bytes in the same run.
func BenchmarkCheck(b *testing.B) {
	data := phonePhoto(b)
	in := input("bench", data)
	var bare, whole time.Duration
	for b.Loop() {
		t := time.Now()
		if _, err := jpeg.Decode(bytes.NewReader(data)); err != nil {
			b.Fatal(err)
		}
		bare += time.Since(t)
		t = time.Now()
		checkAndDraw(b, in)
		whole += time.Since(t)
	}
	b.ReportMetric(float64(bare.Milliseconds())/float64(b.N), "decode-ms")
	b.ReportMetric(float64(whole.Milliseconds())/float64(b.N), "check-ms")
	b.ReportMetric(float64(whole)/float64(bare), "×decode")
}

// BenchmarkSecond runs everything on two 12-megapixel photos of a tray, and reports
// what the second one adds as a ratio to the first alone in the same run.
func BenchmarkSecond(b *testing.B) {
	one := input("bench", enlarged(b, readPair(b, "koba.jpg")))
	two := one
	two.Second = Photo{"moved", enlarged(b, readPair(b, "koba.b.jpg"))}
	var alone, both time.Duration
	for b.Loop() {
		t := time.Now()
		checkAndDraw(b, one)
		alone += time.Since(t)
		t = time.Now()
		checkAndDraw(b, two)
		both += time.Since(t)
	}
	b.ReportMetric(float64(alone.Milliseconds())/float64(b.N), "one-ms")
	b.ReportMetric(float64(both.Milliseconds())/float64(b.N), "both-ms")
	b.ReportMetric(float64(both-alone)/float64(alone), "×one")
}

func checkAndDraw(b *testing.B, in tray) {
	res, err := Tray(context.Background(), in.Photos, in.Ticket)
	if err != nil || res.Report.Status != piece.TrayMeasured {
		b.Fatal(err, res.Report.Problems)
	}
	base := image.NewRGBA(res.Upright.Rect)
	draw.Draw(base, base.Rect, res.Upright, image.Point{}, draw.Src)
	if err := report.Annotate(base, res.PxPerMM, res.Report, report.Footprint{Length: 65, Width: 30, Corner: 14}); err != nil {
		b.Fatal(err)
	}
	if _, err := report.EncodeJPEG(base); err != nil {
		b.Fatal(err)
	}
	var out bytes.Buffer
	if err := report.JSON(&out, res.Report); err != nil {
		b.Fatal(err)
	}
}
