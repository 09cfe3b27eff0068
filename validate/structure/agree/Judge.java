import java.io.BufferedReader;
import java.io.File;
import java.io.IOException;
import java.io.InputStreamReader;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import javax.xml.XMLConstants;
import javax.xml.transform.stream.StreamSource;
import javax.xml.validation.Schema;
import javax.xml.validation.SchemaFactory;
import javax.xml.validation.Validator;
import org.xml.sax.ErrorHandler;
import org.xml.sax.SAXException;
import org.xml.sax.SAXParseException;

/**
 * Holds files against an XML schema with the validator of the JDK.
 *
 * Usage: java Judge.java SCHEMA. The names of files are read from standard
 * input, one a line; for each a line is written: "valid", or the first error.
 */
public final class Judge {
    private static final class First implements ErrorHandler {
        String message;

        @Override
        public void warning(SAXParseException e) {
            // No verdict.
        }

        @Override
        public void error(SAXParseException e) {
            // Whether a reference finds its ID is not a matter of structure.
            if (message == null && !e.getMessage().startsWith("cvc-id.1:")) {
                message = e.getMessage();
            }
        }

        @Override
        public void fatalError(SAXParseException e) throws SAXException {
            throw e;
        }
    }

    public static void main(String[] args) throws Exception {
        SchemaFactory factory = SchemaFactory.newInstance(XMLConstants.W3C_XML_SCHEMA_NS_URI);
        // The limits against hostile schemas are too low for the published ones.
        factory.setFeature(XMLConstants.FEATURE_SECURE_PROCESSING, false);
        factory.setProperty(XMLConstants.ACCESS_EXTERNAL_SCHEMA, "file");
        factory.setProperty(XMLConstants.ACCESS_EXTERNAL_DTD, "");
        Schema schema = factory.newSchema(new File(args[0]));
        PrintStream out = new PrintStream(System.out, false, StandardCharsets.UTF_8);
        BufferedReader names = new BufferedReader(new InputStreamReader(System.in, StandardCharsets.UTF_8));
        for (String name = names.readLine(); name != null; name = names.readLine()) {
            out.println(verdict(schema, new File(name)).replaceAll("\\s+", " "));
        }
        out.flush();
    }

    private static String verdict(Schema schema, File file) throws IOException {
        Validator validator = schema.newValidator();
        First first = new First();
        validator.setErrorHandler(first);
        try {
            validator.validate(new StreamSource(file));
        } catch (SAXException e) {
            return "not read: " + e.getMessage();
        }
        return first.message == null ? "valid" : "invalid: " + first.message;
    }
}
