package serve

// wrongWords say what was wrong with what was entered. English pages say it in
// the program's own words, with the numbers.
var wrongWords = map[string]inBoth{
	"wrong-thickness": {"The thickness cannot be read.", "厚さの入力が正しくありません。mm で、全体なら 4.2、一切れずつなら 1:4.2,2:3.9 のように入力してください。"},
	"wrong-weight":    {"The weight cannot be read.", "重さの入力が正しくありません。皿の切り身全部の重さを g で、118.3 のように入力してください。"},
	"wrong-species":   {"The fish or its density is not known.", "魚の種類か密度が正しくありません。一覧から選び直してください。"},
	"wrong-numbers":   {"A size is no number.", "柵の長さ、幅、高さを mm の数字で入力してください。"},
	"wrong-wide":      {"The block is %s mm wide, the slice %s mm long.", "柵の幅が %s mm あり、どの角度でも長さ %s mm には切れません。柵を削るか、縦に分けてください。"},
	"wrong-high":      {"The block is %s mm high, the slice %s mm wide.", "柵の高さが %s mm あり、どう寝かせても幅 %s mm には切れません。低く削るか、分けてください。"},
	"wrong-sizes":     {"A block of this size cannot be.", "この大きさの柵はありえません。mm で入力したか確かめてください。"},
	"wrong-small":     {"No slice of the house's size can be cut from this block.", "この柵からは基準の大きさの切り身が取れません。小さい切り身にするか、別の用途に使ってください。"},
	"wrong-block":     {"The block in the photo cannot be planned.", "写真の柵では切り方が出せません。マットの青い面に柵だけを置いて全体を撮り、高さを mm で入力してください。広すぎる柵や高すぎる柵は分けてください。"},
	"wrong-class":     {"The class needs a name and a day.", "クラスには60文字までの名前と、日付が必要です。"},
	"wrong-day":       {"A class of that name was held on %s.", "同じ名前のクラスが %s にあります。名前を変えるか、その日付にしてください。"},
	"wrong-newcode":   {"The passcode cannot be made.", "パスコードを作れません。60文字までの、まだ使われていない名前を入力してください。"},
	"wrong-remove":    {"The passcode cannot be removed.", "このパスコードは消せません。先生のパスコードが一つは必要です。"},
	"wrong-line":      {"Line %s: ", "%s行目："},
	"wrong-roster":    {"The roster cannot be read.", "名簿を読めません。1行目に label,name（必要なら minutes も）、2行目から一人一行で、ラベルと名前をコンマで区切って書きます。同じラベルは使えません。"},
	"wrong-standard":  {"The standard cannot be read.", "基準を読めません。項目の名前を変えずに、数値だけを直してください。下限は上限以下、目標はその間にします。"},
}

// ruleWords say what a control chart's rule sees, by the rule's published name.
var ruleWords = map[string]string{
	"Western Electric 1": "限界の外に1点",
	"Western Electric 2": "3点のうち2点が、同じ側で2シグマの外",
	"Western Electric 3": "5点のうち4点が、同じ側で1シグマの外",
	"Western Electric 4": "8点続けて、中心の同じ側",
	"Nelson 1":           "限界の外に1点",
	"Nelson 2":           "9点続けて、中心の同じ側",
	"Nelson 3":           "6点続けて、上がり続けるか下がり続ける",
	"Nelson 4":           "14点続けて、上下を交互に繰り返す",
	"Nelson 5":           "3点のうち2点が、同じ側で2シグマの外",
	"Nelson 6":           "5点のうち4点が、同じ側で1シグマの外",
	"Nelson 7":           "15点続けて、1シグマの内",
	"Nelson 8":           "8点続けて、1シグマの外で両側に分かれる",
}
