package inspect

import (
	"bytes"
	"context"
	"image/jpeg"
	"testing"
	"time"

	"github.com/disintegration/imaging"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
	turbo "netagauge/internal/see/jpeg"
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
// report as JSON, then draws and encodes the annotated picture, and reports both
// times as ratios to libjpeg-turbo's bare decode of the same bytes in the same run.
func BenchmarkCheck(b *testing.B) {
	data := phonePhoto(b)
	in := input("bench", data)
	var bare, whole, picture time.Duration
	for b.Loop() {
		t := time.Now()
		if _, err := turbo.Decode(data, 4032, 3024); err != nil {
			b.Fatal(err)
		}
		bare += time.Since(t)
		t = time.Now()
		res := checked(b, in)
		whole += time.Since(t)
		t = time.Now()
		drawn(b, res)
		picture += time.Since(t)
	}
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(float64(whole)/float64(bare), "check/decode")
	b.ReportMetric(float64(picture)/float64(bare), "picture/decode")
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
		checked(b, one)
		alone += time.Since(t)
		t = time.Now()
		checked(b, two)
		both += time.Since(t)
	}
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(float64(both-alone)/float64(alone), "second/first")
}

// checked is a check from bytes to JSON.
func checked(b *testing.B, in tray) Result {
	b.Helper()
	res, err := Tray(context.Background(), in.Photos, in.Ticket)
	if err != nil || res.Report.Status != piece.TrayMeasured {
		b.Fatal(err, res.Report.Problems)
	}
	var out bytes.Buffer
	if err := report.JSON(&out, res.Report); err != nil {
		b.Fatal(err)
	}
	return res
}

func drawn(b *testing.B, res Result) {
	b.Helper()
	if _, err := res.Picture(phrase.English(), standard.Rice{Length: 65, Width: 30, Corner: 14}, 0); err != nil {
		b.Fatal(err)
	}
}
