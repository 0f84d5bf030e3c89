// Package label writes and reads the label of a mat: a QR code (ISO/IEC 18004)
// in a free place between the tags, holding the words of the label. It works on
// gray pictures; it does not find the code's place in a photo.
package label

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/png"
	"net/url"
	"strings"
	"unicode"

	"github.com/boombuler/barcode"
	"github.com/boombuler/barcode/qr"
	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
)

// prefix marks our codes; the label follows, escaped as in a URL path.
const prefix = "netagauge:"

// MaxLength of a label in characters: more would need a code too fine for a
// photo of the whole mat.
const MaxLength = 24

// Check refuses a label that cannot be printed and read back.
func Check(text string) error {
	switch {
	case strings.TrimSpace(text) == "":
		return errors.New("a label is empty")
	case len([]rune(text)) > MaxLength:
		return fmt.Errorf("label %q is longer than %d characters: the code would be too fine to read", text, MaxLength)
	}
	for _, r := range text {
		if !unicode.IsPrint(r) {
			return fmt.Errorf("label %q has a character that cannot be printed", text)
		}
	}
	return nil
}

// PNG draws a label's QR code, without its quiet zone.
func PNG(text string) ([]byte, error) {
	if err := Check(text); err != nil {
		return nil, err
	}
	code, err := qr.Encode(prefix+url.PathEscape(text), qr.M, qr.Unicode)
	if err != nil {
		return nil, fmt.Errorf("draw the label %q: %w", text, err)
	}
	side := code.Bounds().Dx()
	scaled, err := barcode.Scale(code, 10*side, 10*side)
	if err != nil {
		return nil, fmt.Errorf("draw the label %q: %w", text, err)
	}
	gray := image.NewGray(scaled.Bounds())
	for y := range gray.Rect.Dy() {
		for x := range gray.Rect.Dx() {
			gray.Set(x, y, scaled.At(x, y))
		}
	}
	var b bytes.Buffer
	err = png.Encode(&b, gray)
	return b.Bytes(), err
}

// Read returns the label in a picture of the code and some white around it; ""
// when there is none of ours.
func Read(g *image.Gray) string {
	bmp, err := gozxing.NewBinaryBitmapFromImage(g)
	if err != nil {
		return ""
	}
	hints := map[gozxing.DecodeHintType]any{gozxing.DecodeHintType_TRY_HARDER: true}
	res, err := qrcode.NewQRCodeReader().Decode(bmp, hints)
	if err != nil {
		return ""
	}
	escaped, ours := strings.CutPrefix(res.GetText(), prefix)
	text, err := url.PathUnescape(escaped)
	if !ours || err != nil || Check(text) != nil {
		return ""
	}
	return text
}
