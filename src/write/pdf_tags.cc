#include "write/pdf_tags.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <memory>
#include <qpdf/Buffer.hh>
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFNumberTreeObjectHelper.hh>
#include <qpdf/QPDFObjectHandle.hh>
#include <qpdf/QPDFPageDocumentHelper.hh>
#include <qpdf/QPDFWriter.hh>

#include "write/xml_text.h"

namespace stillhand::write {
namespace {

using Object = QPDFObjectHandle;

// All that the program writes around a song is English.
constexpr const char* kLanguage = "en";

// "/NonStruct << /MCID 7 >> BDC" becomes "/Artifact BMC".
class Artifacts : public Object::TokenFilter {
 public:
  void handleToken(const QPDFTokenizer::Token& token) override {
    const auto type = token.getType();
    if (held_.empty()) {
      if (type == QPDFTokenizer::tt_name && token.getValue() == std::string("/") + kUnsaid) {
        held_ = token.getRawValue();
      } else {
        writeToken(token);
      }
      return;
    }
    held_ += token.getRawValue();
    if (type != QPDFTokenizer::tt_word) return;
    write(token.getValue() == "BDC" ? "/Artifact BMC" : held_);
    held_.clear();
  }
  void handleEOF() override {
    write(held_);
    held_.clear();
  }

 private:
  std::string held_;  // since the name
};

// ISO 16684-1 (XMP), without dates and identifiers.
std::string metadata(const PdfTags& tags) {
  const std::string author =
      tags.author.empty()
          ? ""
          : fmt::format("<dc:creator><rdf:Seq><rdf:li>{}</rdf:li></rdf:Seq></dc:creator>\n",
                        xml_escaped(tags.author));
  return fmt::format(
      "<?xpacket begin=\"\xEF\xBB\xBF\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n"
      "<x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n"
      "<rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n"
      "<rdf:Description rdf:about=\"\" xmlns:dc=\"http://purl.org/dc/elements/1.1/\">\n"
      "<dc:format>application/pdf</dc:format>\n"
      "<dc:title><rdf:Alt><rdf:li xml:lang=\"x-default\">{}</rdf:li></rdf:Alt></dc:title>\n"
      "{}"
      "<dc:language><rdf:Bag><rdf:li>{}</rdf:li></rdf:Bag></dc:language>\n"
      "</rdf:Description>\n</rdf:RDF>\n</x:xmpmeta>\n<?xpacket end=\"r\"?>\n",
      xml_escaped(tags.title), author, kLanguage);
}

class Tagger {
 public:
  Tagger(QPDF& pdf, const PdfTags& tags) : pdf_(pdf), tags_(tags) {}

  void tag() {
    Object root = pdf_.getRoot();
    root.replaceKey("/MarkInfo", Object::parse("<< /Marked true >>"));
    root.replaceKey("/Lang", Object::newUnicodeString(kLanguage));
    root.replaceKey("/ViewerPreferences", Object::parse("<< /DisplayDocTitle true >>"));
    Object xmp = Object::newStream(&pdf_, metadata(tags_));
    xmp.getDict().replaceKey("/Type", Object::newName("/Metadata"));
    xmp.getDict().replaceKey("/Subtype", Object::newName("/XML"));
    root.replaceKey("/Metadata", pdf_.makeIndirectObject(xmp));
    for (QPDFPageObjectHelper& page : QPDFPageDocumentHelper(pdf_).getAllPages()) {
      pages_.push_back(page.getObjectHandle());
      page.addContentTokenFilter(std::make_shared<Artifacts>());
      // Readers go through links in the order of the structure.
      page.getObjectHandle().replaceKey("/Tabs", Object::newName("/S"));
    }
    structure(root.getKey("/StructTreeRoot"));
  }

 private:
  void structure(Object tree) {
    if (!tree.isDictionary()) return;
    // One Document holds it all.
    Object document =
        pdf_.makeIndirectObject(Object::parse("<< /Type /StructElem /S /Document >>"));
    document.replaceKey("/P", tree);
    document.replaceKey("/K", said(tree.getKey("/K"), document));
    tree.replaceKey("/K", document);
    assert(next_ == tags_.pictures.size());
    forget_unsaid(tree);
  }

  // The children without what is unsaid, all under `parent`; the pictures say what they show.
  Object said(Object kids, const Object& parent) {
    Object out = Object::newArray();
    const int count = kids.isArray() ? kids.getArrayNItems() : 1;
    for (int i = 0; i < count; ++i) {
      Object kid = kids.isArray() ? kids.getArrayItem(i) : kids;
      const bool is_element = kid.isDictionary() && kid.getKey("/S").isName();
      if (!is_element) {
        if (!kid.isNull()) out.appendItem(kid);  // content of the parent
        continue;
      }
      const std::string kind = kid.getKey("/S").getName();
      if (kind == std::string("/") + kUnsaid) {
        unsaid_.push_back(kid.getObjGen());
        continue;
      }
      kid.replaceKey("/P", parent);
      if (kind == "/Figure") say(kid);
      kid.replaceKey("/K", said(kid.getKey("/K"), kid));
      out.appendItem(kid);
    }
    return out;
  }

  void say(Object figure) {
    if (next_ >= tags_.pictures.size()) return;
    const SaidPicture& picture = tags_.pictures[next_++];
    figure.replaceKey("/Alt", Object::newUnicodeString(picture.says));
    Object page = pages_.at(picture.page);
    const double height = page.getKey("/MediaBox").getArrayItem(3).getNumericValue();
    const auto number = [](double value) { return Object::newReal(value, 2); };
    Object layout = Object::parse("<< /O /Layout /Placement /Block >>");
    layout.replaceKey(
        "/BBox",
        Object::newArray({number(picture.place.left), number(height - picture.place.bottom),
                          number(picture.place.right), number(height - picture.place.top)}));
    figure.replaceKey("/A", layout);
  }

  // The way from marked content to its element ends for what is no content.
  void forget_unsaid(Object tree) {
    std::sort(unsaid_.begin(), unsaid_.end());
    const auto is_unsaid = [&](Object& element) {
      return std::binary_search(unsaid_.begin(), unsaid_.end(), element.getObjGen());
    };
    QPDFNumberTreeObjectHelper parents(tree.getKey("/ParentTree"), pdf_);
    for (auto& entry : parents) {
      Object elements = entry.second;
      if (!elements.isArray()) continue;
      for (int i = 0; i < elements.getArrayNItems(); ++i) {
        Object element = elements.getArrayItem(i);
        if (is_unsaid(element)) elements.setArrayItem(i, Object::newNull());
      }
    }
  }

  QPDF& pdf_;
  const PdfTags& tags_;
  std::vector<Object> pages_;
  std::vector<QPDFObjGen> unsaid_;
  std::size_t next_ = 0;
};

}  // namespace

std::string tagged(const std::string& drawn, const PdfTags& tags) {
  QPDF pdf;
  pdf.setSuppressWarnings(true);
  pdf.processMemoryFile("sheet", drawn.data(), drawn.size());
  Tagger(pdf, tags).tag();
  QPDFWriter writer(pdf);
  writer.setOutputMemory();
  writer.setDeterministicID(true);
  writer.setObjectStreamMode(qpdf_o_generate);
  writer.write();
  const std::shared_ptr<Buffer> bytes = writer.getBufferSharedPointer();
  return {reinterpret_cast<const char*>(bytes->getBuffer()), bytes->getSize()};
}

}  // namespace stillhand::write
