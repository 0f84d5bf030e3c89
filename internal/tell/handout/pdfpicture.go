package handout

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	"slices"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/draw"

	"netagauge/internal/tell/report"
)

// tray places the annotated picture; it is smaller when there are several.
func (d *doc) tray(data []byte, of int) error {
	data, ratio, err := forPage(data)
	if err != nil {
		return err
	}
	high := 60.0
	if of > 1 {
		high = 50
	}
	return d.beside(data, "jpg", high*ratio, high)
}

// pagePicture is how wide, in px, a picture in the PDF is at most: some 200 a
// printed inch. The library holds all pictures of a class in memory.
const pagePicture = 900

// forPage makes a picture no larger than a page needs, and tells its width over
// its height.
func forPage(data []byte) ([]byte, float64, error) {
	from, err := jpeg.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, 0, fmt.Errorf("read an annotated picture: %w", err)
	}
	size := from.Bounds()
	ratio := float64(size.Dx()) / float64(size.Dy())
	if size.Dx() <= pagePicture {
		return data, ratio, nil
	}
	to := image.NewRGBA(image.Rect(0, 0, pagePicture, int(pagePicture/ratio)))
	draw.CatmullRom.Scale(to, to.Rect, from, size, draw.Src, nil)
	small, err := report.EncodeJPEG(to)
	return small, ratio, err
}

// plots places drawings in rows, as many abreast as the page is wide, with so many mm
// of what stands under the last row.
func (d *doc) plots(plots []plot, wide, under float64) error {
	pageWide, pageHigh := d.GetPageSize()
	abreast := max(1, int((pageWide-2*pdfMargin)/wide))
	rows := slices.Collect(slices.Chunk(plots, abreast))
	for n, row := range rows {
		high, below := 0.0, 0.0
		if n == len(rows)-1 {
			below = under
		}
		for _, p := range row {
			high = max(high, wide*p.AspectRatio())
		}
		shrink := min(1, (pageHigh-2*pdfMargin-below)/high)
		d.room(high*shrink + 1 + below)
		y := d.GetY()
		for i, p := range row {
			data, err := p.PNG()
			if err != nil {
				return err
			}
			if err := d.place("png", data, pdfMargin+float64(i)*wide, y, wide*shrink, wide*p.AspectRatio()*shrink); err != nil {
				return err
			}
		}
		d.SetXY(pdfMargin, y+high*shrink+1)
	}
	return nil
}

// beside places a picture at the left margin, smaller where the page is, and moves
// below it.
func (d *doc) beside(data []byte, kind string, wide, high float64) error {
	pageWide, pageHigh := d.GetPageSize()
	shrink := min(1, (pageWide-2*pdfMargin)/wide, (pageHigh-2*pdfMargin)/high)
	wide, high = wide*shrink, high*shrink
	d.room(high)
	y := d.GetY()
	if err := d.place(kind, data, pdfMargin, y, wide, high); err != nil {
		return err
	}
	d.SetXY(pdfMargin, y+high+1)
	return nil
}

// place puts a picture onto the page.
func (d *doc) place(kind string, data []byte, x, y, w, h float64) error {
	d.pictures++
	name := fmt.Sprintf("picture %d", d.pictures)
	opt := fpdf.ImageOptions{ImageType: kind}
	d.RegisterImageOptionsReader(name, opt, bytes.NewReader(data))
	d.ImageOptions(name, x, y, w, h, false, opt, 0, "")
	return d.Error()
}
