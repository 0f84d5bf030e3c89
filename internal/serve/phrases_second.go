package serve

// secondWords are about a second photo of a tray and what it shows.
var secondWords = map[string]inBoth{
	"second":         {"Second photo (may be left out)", "二枚目の写真（なくてもよい）"},
	"second-hint":    {"It shows how thick each slice is. Leave the tray as it is, move the phone sideways by two hands' widths, about 20 cm, and take all of the mat again.", "二枚あると、一切れごとの厚さが分かります。皿を動かさず、電話を横に手のひら二つ分（約20 cm）ずらし、もう一度マット全体を撮ります。"},
	"second-title":   {"Second photo: weight of each slice", "二枚目の写真で一切れごとの重さを"},
	"second-again":   {"Another second photo", "二枚目を撮り直す"},
	"second-send":    {"Add the second photo", "二枚目を送る"},
	"second-not":     {"The second photo was not used.", "二枚目の写真は使えませんでした。"},
	"second-same":    {"It is the first photo once more. Move the phone sideways and take another.", "一枚目と同じ写真です。電話を横にずらして撮り直してください。"},
	"second-stopped": {"The program could not measure with it. Take it again.", "この写真では計測できませんでした。撮り直してください。"},
	"how-thick":      {"Thickness", "厚さ"},
	"koba":           {"Step (koba)", "小刃（こば）"},
	"koba-yes":       {"yes, %s mm wide", "あり、幅 %s mm"},
	"koba-there":     {"yes", "あり"},
	"koba-no":        {"no", "なし"},
	"koba-unknown":   {"cannot be told", "分からない"},
	"koba-broken":    {", broken", "、途切れあり"},
	"map-title":      {"Thickness: %s mm at one end, %s mm at the other", "厚さ：片端 %s mm、もう片端 %s mm"},
	"map-legend":     {"The darker, the thicker.", "色が濃いほど厚い。"},
	"p-second-photo": {"The second photo did not show everything.", "二枚目の写真では分からない切り身があります。"},
	"r-second-photo": {"Leave the tray as it is, move the phone sideways by about 20 cm, take all of the mat, and send it again; or enter the thickness.", "皿を動かさず、電話を横に約20 cmずらしてマット全体を撮り、もう一度送ってください。または厚さを入力してください。"},
}
