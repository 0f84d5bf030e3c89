// Package label writes and reads the label of a mat: a QR code (ISO/IEC 18004)
// in a free place between the tags, holding the words of the label. It works on
// gray pictures; it does not find the code's place in a photo.
package label

import (
	"image"
	"net/url"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"netagauge/internal/core/phrase"

	"github.com/boombuler/barcode/qr"
	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
)

// prefix marks our codes; the label follows, escaped as in a URL path.
const prefix = "netagauge:"

// MaxLength of a label in characters: more would be too small to read in words.
const MaxLength = 24

// maxContent is what a QR code of version 6 (41 x 41 modules) holds in bytes at
// error correction M (ISO/IEC 18004, capacity table; from memory). The modules
// of a larger one would be too fine for a photo of the whole mat.
const maxContent = 106

// Check refuses a label that cannot be printed and read back.
func Check(text string) error {
	quoted := strconv.Quote(text)
	switch {
	case strings.TrimSpace(text) == "":
		return phrase.Wrong("label-empty")
	case !utf8.ValidString(text):
		return phrase.Wrong("label-text", quoted)
	case utf8.RuneCountInString(text) > MaxLength:
		return phrase.Wrong("label-long", quoted, MaxLength)
	case len(content(text)) > maxContent:
		return phrase.Wrong("label-fine", quoted)
	}
	for _, r := range text {
		if !unicode.IsPrint(r) {
			return phrase.Wrong("label-odd", quoted)
		}
	}
	return nil
}

// Code returns the modules of a label's QR code without its quiet zone, one pixel
// to a module, black on white.
func Code(text string) (image.Image, error) {
	if err := Check(text); err != nil {
		return nil, err
	}
	code, err := qr.Encode(content(text), qr.M, qr.Unicode)
	if err != nil {
		return nil, err
	}
	return code, nil
}

func content(text string) string { return prefix + url.PathEscape(text) }

// Read returns the label in a picture of the code and some white around it; ""
// when there is none of ours.
func Read(g *image.Gray) string {
	bmp, err := gozxing.NewBinaryBitmapFromImage(g)
	if err != nil {
		return ""
	}
	// The reader now and then misjudges the size of a code from its corner marks;
	// taking the crop for the bare code then still finds it.
	for _, how := range []gozxing.DecodeHintType{gozxing.DecodeHintType_TRY_HARDER, gozxing.DecodeHintType_PURE_BARCODE} {
		res, err := qrcode.NewQRCodeReader().Decode(bmp, map[gozxing.DecodeHintType]any{how: true})
		if err == nil {
			return parse(res.GetText())
		}
	}
	return ""
}

// parse is the inverse of content; "" for anything else.
func parse(content string) string {
	escaped, ours := strings.CutPrefix(content, prefix)
	text, err := url.PathUnescape(escaped)
	if !ours || err != nil || Check(text) != nil {
		return ""
	}
	return text
}
