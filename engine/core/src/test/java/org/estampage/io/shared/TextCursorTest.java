package org.estampage.io.shared;

import static org.assertj.core.api.Assertions.assertThat;

import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.util.Random;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** The oracle is the JDK's own decimal conversion, {@code Float.parseFloat}, which is correctly rounded since JDK 8 (bug 7032154, from memory). */
class TextCursorTest {
    private final TextCursor cursor = new TextCursor(true);

    private TextCursor over(String text) {
        byte[] bytes = (text + "\n".repeat(1 + LineChunks.SLACK)).getBytes(StandardCharsets.ISO_8859_1);
        cursor.reset(bytes, 0, bytes.length - LineChunks.SLACK);
        return cursor;
    }

    private void assertReadsLikeTheJdk(String text) {
        float value = over(text).number();
        assertThat(cursor.failed()).as(text).isFalse();
        assertThat(Float.floatToIntBits(value)).as(text).isEqualTo(Float.floatToIntBits(Float.parseFloat(text)));
        assertThat(cursor.endLine()).as(text).isTrue();
    }

    @Property(tries = 20_000)
    void number_ofEveryFloatsShortestText_isThatFloat(@ForAll int bits) {
        float f = Float.intBitsToFloat(bits);
        if (Float.isFinite(f)) {
            assertReadsLikeTheJdk(Float.toString(f));
        }
    }

    @Property(tries = 20_000)
    void number_ofADoublesText_isTheNearestFloat(@ForAll int bits, @ForAll @IntRange(max = (1 << 29) - 1) int tail) {
        double d = Double.longBitsToDouble(Double.doubleToLongBits(Float.intBitsToFloat(bits)) ^ tail);
        if (Double.isFinite(d)) {
            assertReadsLikeTheJdk(Double.toString(d));
        }
    }

    @Property(tries = 10_000)
    void number_atAndBesideTheMiddleOfTwoFloats_roundsLikeTheJdk(@ForAll int bits, @ForAll @IntRange(min = -2, max = 2) int step,
            @ForAll @IntRange(min = 1, max = 40) int digits) {
        float f = Float.intBitsToFloat(bits & 0x7fff_ffff);
        if (Float.isFinite(f) && f < Float.MAX_VALUE) {
            BigDecimal middle = new BigDecimal(f).add(new BigDecimal(Math.nextUp(f))).divide(BigDecimal.valueOf(2));
            BigDecimal near = middle.add(middle.ulp().multiply(BigDecimal.valueOf(step)));
            assertReadsLikeTheJdk(near.toString());
            assertReadsLikeTheJdk(near.round(new java.math.MathContext(digits)).toString());
        }
    }

    @Test
    void number_ofRandomDigits_isTheNearestFloat() {
        Random random = new Random(5);
        for (int i = 0; i < 50_000; i++) {
            StringBuilder text = new StringBuilder(random.nextBoolean() ? "-" : "");
            for (int k = random.nextInt(12); k >= 0; k--) {
                text.append((char) ('0' + random.nextInt(10)));
            }
            text.append('.');
            for (int k = random.nextInt(14); k > 0; k--) {
                text.append((char) ('0' + random.nextInt(10)));
            }
            if (random.nextInt(4) == 0) {
                text.append(random.nextBoolean() ? "e" : "E").append(new String[] {"", "+", "-"}[random.nextInt(3)])
                        .append(random.nextInt(60));
            }
            assertReadsLikeTheJdk(text.toString());
        }
    }

    @ParameterizedTest
    @ValueSource(strings = {"0", "-0", "+1", ".5", "5.", "-.25", "1e5", "1E-5", "1.e2", "16777217", "16777219", "0.1", "1e-45",
            "7.0064923e-46",
            "7.0064924e-46", "3.4028235e38", "3.4028236e38", "3.5e38", "1e400", "1e-400", "0e999",
            "0.000000000000000000000000000000000000011754944",
            "1.17549429e-38", "123456789012345678901234567890", "0.3333333333333333333333333333333333", "00000000000000000000000001.5",
            "1e00000000000000000001", "4e-66", "9007199254740993", "1e65", "1e66",
            "0.0000000000000000000000000000000000000000000000000000000000001e61"})
    void number_readsLikeTheJdk(String text) {
        assertReadsLikeTheJdk(text);
    }

    @ParameterizedTest
    @ValueSource(strings = {"", "-", "+", ".", "-.", "e5", "1e", "1e+", "1,5", "1.5f", "1d", "0x10", "1.2.3", "--1", "1e5.5", "x", "nano",
            "1_0"})
    void number_whereNoneStands_failsAndStays(String text) {
        assertThat(over(text).number()).isNaN();
        assertThat(cursor.failed()).isTrue();
        if (!text.isEmpty()) {
            assertThat(cursor.peek()).isEqualTo((byte) text.charAt(0));
        }
    }

    @Test
    void number_ofWords_isNotFinite() {
        assertThat(over("nan").number()).isNaN();
        assertThat(over("-NaN").number()).isNaN();
        assertThat(over("inf").number()).isEqualTo(Float.POSITIVE_INFINITY);
        assertThat(over("-Infinity").number()).isEqualTo(Float.NEGATIVE_INFINITY);
        assertThat(over("1.#INF").number()).isEqualTo(Float.POSITIVE_INFINITY);
        assertThat(over("-1.#IND").number()).isNaN();
        assertThat(over("-1.#QNAN ").number()).isNaN();
        assertThat(over("1.#comment").number()).isEqualTo(1);
        assertThat(over("1.5#comment").number()).isEqualTo(1.5f);
        assertThat(cursor.failed()).isFalse();
    }

    @Test
    void integer_readsSignsAndRefusesWhatDoesNotFit() {
        assertThat(over("2147483647/").integer()).isEqualTo(Integer.MAX_VALUE);
        assertThat(over("-12 ").integer()).isEqualTo(-12);
        assertThat(over("+7").integer()).isEqualTo(7);
        assertThat(cursor.failed()).isFalse();
        for (String text : new String[] {"2147483648", "-99999999999999999999999", "", "-", "a"}) {
            over(text).integer();
            assertThat(cursor.failed()).as(text).isTrue();
        }
    }

    @Test
    void rest_joinsContinuedLines() {
        over("one\\\ntwo\\\r\n three # four\nnext");
        assertThat(cursor.rest()).isEqualTo("one two  three # four");
        assertThat(cursor.line()).isEqualTo(3);
        assertThat(cursor.nextWord()).isEqualTo("next");
    }
}
